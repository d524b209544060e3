"""What sizing answers: options with their odds, the choice, the least change, the energy."""

from typing import Any

from loop.answers import Answer
from loop.job import Job
from loop.margins.energy import Running
from loop.records import dataclass
from loop.size.options import Choice
from loop.size.uncertainty import Distribution


@dataclass(frozen=True)
class UnitOdds:
    """One condenser in one option: flows [m³/s], and the chance that it meets its need.

    ``flow`` is the middle answer at the worst service; ``flow_low`` is exceeded with the chance
    that the job asks for, and ``flow_high`` is not.
    """

    name: str
    needed_flow: float
    flow: float
    flow_low: float
    flow_high: float
    chance: float


@dataclass(frozen=True)
class Option:
    """One combination, reckoned at its worst service.

    ``flow`` and its edges are the pump's [m³/s], as in `UnitOdds`; ``chance`` the least of the
    condensers'; ``margin`` the least of their flow_low over need, minus 1. Speeds are the highest
    in any hose of the side [m/s], heads in metres, power in watts (NaN where the pump's file
    states none), ``price`` None where any of it is not known. ``running`` is the consumption at
    each stage of the unit, empty without a ``[supply]``. ``starts_last`` names the branches that
    stay dry while the others run, and have to be filled first.
    """

    choice: Choice
    rank: int
    flow: float
    flow_low: float
    flow_high: float
    chance: float
    margin: float
    units: tuple[UnitOdds, ...]
    power: float
    suction_velocity: float
    pressure_velocity: float
    start_head: float
    shutoff_head: float
    starts_last: tuple[str, ...]
    price: float | None
    running: tuple[Running, ...]
    passes: bool
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Change:
    """One change of a set that mends the job as it stands.

    ``flow`` is the pump's flow with this change and those before it [m³/s], ``gain`` what it adds,
    ``passes`` whether the loop then passes.
    """

    change: str
    flow: float
    gain: float
    passes: bool


@dataclass(frozen=True)
class Studied:
    """How much was reckoned: options, draws of each and their seed, operating points."""

    options: int
    draws: int
    seed: int
    solves: int


@dataclass(frozen=True)
class SizeResult(Answer):
    """The whole answer.

    ``options`` are in the order of their rank; ``choice`` and ``runner_up`` are positions in it,
    None where nothing passes (or only one does). ``front`` holds the positions of the passing
    options that no other beats in flow margin, power, price where known and largest bore at once.
    ``why`` and ``prefer_runner_up`` are sentences. ``least_change`` is the smallest set of changes
    that mends the job as it stands, empty where it passes; ``other_changes`` are further sets of
    the same size.
    """

    job: Job
    options: tuple[Option, ...]
    choice: int | None
    runner_up: int | None
    front: tuple[int, ...]
    why: tuple[str, ...]
    prefer_runner_up: str
    service: tuple[str, ...]
    distributions: tuple[Distribution, ...]
    least_change: tuple[Change, ...]
    other_changes: tuple[tuple[Change, ...], ...]
    studied: Studied

    def to_dict(self) -> dict[str, Any]:
        """What ``loop size --json`` prints: the keys of `loop.size.as_json.SizeTables`."""
        from loop.size.as_json import to_json

        return to_json(self)

    def __repr__(self) -> str:
        passing = sum(option.passes for option in self.options)
        return f"SizeResult({len(self.options)} options, {passing} pass, choice {self.choice})"
