"""The constants that users of exported tables share with the program.

Each is documented where it is defined.
"""

from typing import Any

from loop.diagnose.action import IT_FAILS, WAITS
from loop.diagnose.bayes import LIKELY, SEA_WIDTHS, design_sea_temperature
from loop.diagnose.belief import CHANCE_FLOOR, CURE_FLOOR, LEAST, REPEATS, TAIL
from loop.diagnose.fix_status import BREAKER_OFF, ENOUGH, ILL, MAY_BE, OVER, STOPPED
from loop.diagnose.groups import BARE_MENTION, NEGLIGIBLE
from loop.diagnose.information_gain import BINS, LEFT_OUT, NORMAL_CDF
from loop.diagnose.reading_kinds import FETCHED, PROOF, TWO_SIGMA, UNDER_WAY
from loop.diagnose.readings import SEA
from loop.diagnose.reasons import SINGLED, USUAL
from loop.diagnose.remaining_fault import STILL
from loop.diagnose.statements import ONE_UNIT
from loop.diagnose.step_order import (
    BY_EYE,
    FAIRLY,
    FIXABLE,
    IN_THE_LINE,
    KNOWN,
    LEADS,
    LITTLE,
    TELLING,
    TRIFLE,
)
from loop.diagnose.step_value import CURE_BITS
from loop.diagnose.study import LOG_OFFSET, Study
from loop.diagnose.valid_readings import AGAIN, NO_LONGER, STUCK


def constants(study: Study) -> dict[str, Any]:
    """Constants by their names in the tables."""
    return {
        "tail": TAIL,
        "least": LEAST,
        "repeats": REPEATS,
        "chance_floor": CHANCE_FLOOR,
        "cure_floor": CURE_FLOOR,
        "log_offset": LOG_OFFSET,
        "two_sigma": TWO_SIGMA,
        "sea": {
            "key": SEA,
            "design": design_sea_temperature(study),
            "cooler": SEA_WIDTHS[0],
            "warmer": SEA_WIDTHS[1],
        },
        "left_out": LEFT_OUT,
        "bins": BINS,
        "cure_bits": CURE_BITS,
        "normal": list(NORMAL_CDF),
        "group": BARE_MENTION,
        "negligible": NEGLIGIBLE,
        "fixable": FIXABLE,
        "leads": LEADS,
        "known": KNOWN,
        "little": LITTLE,
        "trifle": TRIFLE,
        "fairly": FAIRLY,
        "fetched": list(FETCHED),
        "under_way": UNDER_WAY,
        "telling": TELLING,
        "in_the_line": IN_THE_LINE,
        "over": OVER,
        "may_be": MAY_BE,
        "still": STILL,
        "proof": list(PROOF),
        "enough": list(ENOUGH),
        "stopped": list(STOPPED),
        "ill": list(ILL),
        "breaker_off": list(BREAKER_OFF),
        "singled": SINGLED,
        "one_unit": ONE_UNIT,
        "again": AGAIN,
        "no_longer": NO_LONGER,
        "stuck": list(STUCK),
        "usual": USUAL,
        "likely": LIKELY,
        "it_fails": IT_FAILS,
        "waits": WAITS,
        "by_eye": list(BY_EYE),
    }
