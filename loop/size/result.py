"""What sizing answers: options with their odds, the choice, what to do besides, how far it goes."""

import math
from collections.abc import Callable
from typing import Any

from loop.answers import Answer
from loop.job import Job
from loop.margins.battery import Running
from loop.margins.energy import Energy, StageDraw
from loop.records import dataclass
from loop.size.limits import Reach
from loop.size.options import Choice
from loop.size.rules import Reason
from loop.size.uncertainty import Distribution
from loop.words import Action, Finding


@dataclass(frozen=True)
class UnitOdds:
    """One condenser in one option: flows [m³/s], and the chance that it meets its need.

    ``flow`` is the middle answer at the worst service, ``flow_low`` and ``flow_high`` the edges of
    its band there. The chance is drawn for the options that are shown, NaN for the others.
    """

    name: str
    needed_flow: float
    flow: float
    flow_low: float
    flow_high: float
    chance: float


@dataclass(frozen=True)
class Option:
    """One combination at its worst service.

    ``flow`` and its edges are the pump's [m³/s], as in `loop.size.result.UnitOdds`; ``chance`` the
    least of the condensers'; ``margin`` the least of their flow_low over need, minus 1. Speeds are
    the highest in any hose of the side [m/s], heads in metres, power in watts (NaN where the pump's
    file states none), ``price`` None where any of it is not known. ``running`` is the consumption
    at each stage that ``[supply]`` states; ``energy`` and ``energy_clean`` what the units' stated
    draw makes of it at the worst service and at commissioning, None where none is stated, or where
    the option fails and is not the loop as it stands. ``starts_last`` names the branches that have
    to be filled first. ``as_is`` marks the loop as it stands. It passes where there is no reason
    against it; ``said`` are the reasons in words, those that are the same of several places once.
    ``as_new`` are the codes of what a check finds wrong with it at commissioning, where most water
    runs.
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
    energy: Energy | None
    energy_clean: Energy | None
    as_new: tuple[str, ...]
    reasons: tuple[Reason, ...]
    said: tuple[str, ...]

    @property
    def passes(self) -> bool:
        """Whether nothing speaks against it at its worst service."""
        return not self.reasons

    @property
    def as_is(self) -> bool:
        """Whether it is the loop as it stands."""
        return self.choice.as_is


@dataclass(frozen=True)
class Change:
    """One change of a set that makes the job as it stands pass at its worst service.

    ``action`` is the change, ``change`` the same in words; ``flow`` is the pump's flow with this
    change and those before it [m³/s], ``gain`` what it adds. ``passes`` is whether the loop then
    passes, with a ``chance`` that each unit gets its water of what the job asks or more; the chance
    is NaN where a check finds something wrong. ``as_new`` are codes as those of an option, where it
    passes.
    """

    action: Action
    change: str
    flow: float
    gain: float
    chance: float
    passes: bool
    as_new: tuple[str, ...]


@dataclass(frozen=True)
class Against:
    """Why the choice comes before another option: what that one has for it, what speaks against.

    ``of`` is "cheaper", "smaller", "quieter" or "less draw"; ``option`` its position. ``decides``
    is a code: that of the reason for which it fails, or "margin", "power", "price", "bore" where
    it passes; ``values`` hold the numbers compared (SI), the choice's and the other's.
    """

    of: str
    option: int
    decides: str
    values: tuple[float, float]
    text: str


@dataclass(frozen=True)
class Apart:
    """A unit on a run and a pump of its own: the best option, None where none passes."""

    unit: str
    option: Option | None


@dataclass(frozen=True)
class Studied:
    """How much was studied: options, those passed over, draws of what is shown, checks, solves."""

    options: int
    passed_over: int
    draws: int
    seed: int
    checks: int
    solves: int


@dataclass(frozen=True)
class SizeResult(Answer):
    """The whole answer.

    ``first`` is what is put right before anything is chosen, ``cared`` the job with that done, on
    which every option is judged: "as it stands" is that. ``chosen`` is it with the choice fitted,
    at the worst service; as it stands where none is.
    ``options`` are in the order of their rank; ``choice`` and ``runner_up`` are positions in it,
    None where nothing passes (or only one does). ``front`` holds the positions of the passing
    options that no other beats in flow margin, power, price where known and largest bore at once.
    ``aside`` are findings that no size fixes, as they are with the choice fitted, and doubts about
    what the file states. ``against`` says
    why the choice comes before others, ``reach`` how far it goes before it fails. ``condensing`` is
    what it would draw at full stage if its units condensed at `loop.margins.energy.COMPARED`, empty
    where no draw is stated. ``apart`` is what it would take with a pump, an intake and hoses for
    each unit, empty where there is one unit. ``why`` and
    ``prefer_runner_up`` are sentences. ``least_change`` is the smallest set of changes after which
    the job passes as it stands, empty where it passes, and where no change brings much;
    ``other_changes`` are further sets. ``not_first`` is a sentence, why it is not what a check
    offers first. ``advised`` are findings of a check of the
    job as it stands, at its worst service, that no change of sizes answers as well: what is to be
    piped otherwise, and all of them where no set fixes it and flow is not what it wants.
    ``unsuited`` names pumps that are listed and that no supply of the boat runs.
    """

    job: Job
    first: tuple[Action, ...]
    cared: Job
    chosen: Job
    options: tuple[Option, ...]
    choice: int | None
    runner_up: int | None
    front: tuple[int, ...]
    aside: tuple[Finding, ...]
    against: tuple[Against, ...]
    reach: tuple[Reach, ...]
    condensing: tuple[StageDraw, ...]
    apart: tuple[Apart, ...]
    why: tuple[str, ...]
    prefer_runner_up: str
    service: tuple[str, ...]
    distributions: tuple[Distribution, ...]
    least_change: tuple[Change, ...]
    other_changes: tuple[tuple[Change, ...], ...]
    not_first: str
    advised: tuple[Finding, ...]
    studied: Studied
    unsuited: tuple[str, ...]

    @property
    def as_is(self) -> int:
        """Position of the loop as it stands."""
        return next(i for i, option in enumerate(self.options) if option.as_is)

    @property
    def least_pump(self) -> int | None:
        """Position of the option that passes with the least power of its pump; None where none."""
        return self._least(lambda option: option.power)

    @property
    def least_draw(self) -> int | None:
        """Position of the option that passes with the least total draw; None where none states it.

        At full stage at the worst service, pump and units.
        """
        return self._least(lambda o: o.energy.stages[0].power if o.energy else math.nan)

    def _least(self, measure: Callable[[Option], float]) -> int | None:
        known = {i: measure(option) for i, option in enumerate(self.options) if option.passes}
        finite = {i: value for i, value in known.items() if math.isfinite(value)}
        return min(finite, key=lambda i: finite[i]) if finite else None

    def to_dict(self) -> dict[str, Any]:
        """What ``loop size --json`` prints: the keys of `loop.size.as_json.SizeTables`."""
        from loop.size.as_json import to_json

        return to_json(self)

    def __repr__(self) -> str:
        passing = sum(option.passes for option in self.options)
        return f"SizeResult({len(self.options)} options, {passing} pass, choice {self.choice})"
