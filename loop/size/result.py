"""Results of sizing: options with their chances, the choice, other actions, how far it goes."""

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
    """One condenser in one option: flows [m³/s], and the chance that its need is met.

    ``flow`` is the middle of its band at the worst service, ``flow_low`` and ``flow_high`` the
    edges. The chance is estimated for the options that are shown, NaN for the others.
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

    ``flow`` and its edges are the pump's [m³/s], as in `loop.size.result.UnitOdds`; ``chance`` is
    the least of the condensers'; ``margin`` the least of their flow_low over need, minus 1.
    Velocities are the highest in any hose of that side [m/s], heads in meters, power in watts (NaN
    if the pump's file does not state it), ``price`` None if any part of it is unknown. ``running``
    is the consumption at each stage that ``[supply]`` states. ``energy`` and ``energy_clean`` are
    the consumption from the units' stated draw, at the worst service and at commissioning; None if
    no draw is stated, or if the option fails and is not the loop as it stands. ``starts_last``
    names the branches that must be filled first. ``as_is`` marks the loop as it stands. An option
    passes if there are no ``reasons`` against it; ``said`` are the reasons in words, a reason for
    several places only once. ``as_new`` are the codes of what a check finds wrong at commissioning,
    when most water flows.
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
        """Whether there is no reason against it at its worst service."""
        return not self.reasons

    @property
    def as_is(self) -> bool:
        """Whether it is the loop as it stands."""
        return self.choice.as_is

    def __repr__(self) -> str:
        bores = f"{self.choice.suction_bore:.4g} m, {self.choice.pressure_bore:.4g} m"
        result = "passes" if self.passes else "fails"
        return f"Option({self.rank}: {self.choice.pump.name}, {bores}, {result})"


@dataclass(frozen=True)
class Change:
    """One change of a set that makes the job as it stands pass at its worst service.

    ``action`` is the change, ``change`` the same in words; ``flow`` is the pump's flow with this
    change and those before it [m³/s], ``gain`` what it adds. ``passes``: whether the loop then
    passes, with a ``chance`` that each unit gets its water at or above the one the job requires;
    the chance is NaN if a check finds something wrong. ``as_new`` are codes as for an option, if it
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
    """Why the choice outranks another option: that option's advantage, and what decides against it.

    ``of`` is "cheaper", "smaller", "quieter" or "less draw"; ``option`` its position. ``decides``
    is the code of the reason why it fails or, if it passes, "margin", "power", "price" or "bore";
    ``values`` are the numbers compared (SI), the choice's and the other's.
    """

    of: str
    option: int
    decides: str
    values: tuple[float, float]
    text: str


@dataclass(frozen=True)
class SeparateLoop:
    """The best option for a unit with its own run and pump; None if none passes."""

    unit: str
    option: Option | None


@dataclass(frozen=True)
class Studied:
    """Extent of the search: options, options skipped, samples per shown option, checks, solves.

    ``unchecked`` of the options have enough flow, and were not checked.
    """

    options: int
    passed_over: int
    unchecked: int
    draws: int
    seed: int
    checks: int
    solves: int


@dataclass(frozen=True)
class SizeResult(Answer):
    """The complete answer.

    ``first`` are the actions done before anything is chosen, ``cared`` the job with them done, on
    which every option is judged: it is what "as it stands" means. ``chosen`` is that job with the
    choice fitted, or unchanged if there is no choice, at the worst service.

    ``options`` are those checked, in order of rank; ``choice`` and ``runner_up`` are positions in
    it, None if nothing passes (or only one does). ``front`` holds the positions of the passing
    options that no other dominates in flow margin, power, price if known, and largest bore.
    ``aside`` are findings that no size fixes, with the choice fitted, and doubts about what the
    file states.

    ``against`` says why the choice ranks ahead of others, ``reach`` how far it goes before it
    fails. ``condensing`` is its draw at full stage with its units condensing at
    `loop.margins.energy.COMPARED`, empty if no draw is stated. ``apart`` is the alternative of a
    pump, an intake and hoses for each unit, empty for a single unit. ``why`` and
    ``prefer_runner_up`` are sentences.

    ``least_change`` is the smallest set of changes with which the job as it stands passes, empty if
    it already passes or no change brings much; ``other_changes`` are further sets. ``not_first`` is
    a sentence: why it differs from what a check offers first. ``advised`` are findings of a check
    of the job as it stands, at its worst service, that changes of size cannot resolve as well:
    those that need different piping, or all findings if no set fixes the loop and flow is not what
    it lacks. ``unsuited`` names listed pumps that no supply of the boat runs.
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
    apart: tuple[SeparateLoop, ...]
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
        """Position of the passing option with the least pump power; None if there is none."""
        return self._least(lambda option: option.power)

    @property
    def least_draw(self) -> int | None:
        """Position of the passing option with the least total draw; None if none states it.

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
