"""The closed list of findings: one row a code."""

from loop.words.codes_air import AIR
from loop.words.codes_flow import FLOW
from loop.words.codes_guess import GUESSES
from loop.words.codes_heat import HEAT
from loop.words.codes_loss import LOSSES
from loop.words.codes_order import ORDER
from loop.words.codes_seacock import SEACOCKS
from loop.words.codes_speed import SPEED
from loop.words.codes_suction import SUCTION
from loop.words.codes_supply import SUPPLY
from loop.words.row import Row

CODES: dict[str, Row] = {
    **FLOW,
    **SUCTION,
    **SUPPLY,
    **AIR,
    **SPEED,
    **HEAT,
    **SEACOCKS,
    **ORDER,
    **GUESSES,
    **LOSSES,
}
