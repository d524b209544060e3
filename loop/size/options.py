"""What sizing may choose from: every combination of bores, pump, strainer, seacock and barbs."""

import math
from collections.abc import Iterator, Sequence
from itertools import product
from typing import Any

from pydantic import ValidationError

from loop.job import Job, JobError, StrainerChoice
from loop.parts import (
    Bleed,
    CheckValve,
    Elbow,
    Hose,
    Intake,
    Manifold,
    Part,
    Pump,
    Seacock,
    Strainer,
    Tee,
    VentedLoop,
)
from loop.pumps import PumpCurve, catalogue, load_pump
from loop.records import dataclass

# A pump runs on a supply this near its rating: engineering estimate (a 12 V bank gives 10.5 to
# 14.4 V, a shore line 104 to 126 V).
_SUPPLY_WITHIN = 0.2
# More combinations than this take minutes and tell nobody anything.
_MOST_OPTIONS = 20_000
# Bought with the hose, so that they change with its bore; holes in the hull and units do not.
_GO_WITH_HOSE = (Elbow, Tee, Bleed, CheckValve, Manifold, Seacock, VentedLoop)


@dataclass(frozen=True)
class Choice:
    """One combination: bores [m] and pump; None where the job's own stays.

    ``suction_bore`` holds for all hoses before the pump, ``pressure_bore`` for those after it on
    the main line, ``branch_bore`` for those in branches, with the fittings that are bought with
    them. Where it is None a branch keeps its share of the main line's bore, to the nearest size.
    """

    pump: PumpCurve
    suction_bore: float
    pressure_bore: float
    branch_bore: float | None = None
    barb_bore: float | None = None
    seacock_bore: float | None = None
    strainer: StrainerChoice | None = None

    @property
    def largest_bore(self) -> float:
        """Largest hose that must be routed through the boat [m]."""
        return max(self.suction_bore, self.pressure_bore, self.branch_bore or 0.0)


def choices(job: Job) -> tuple[Choice, ...]:
    """Every combination that the job's ``[sizing]`` allows, the pump changing slowest.

    A barb larger than its hose is left out. Raises JobError where there are too many, where a
    pump does not run on the boat's supply, or where no combination is left.
    """
    sizing = job.sizing
    branched = any(isinstance(part, Manifold) for part in job.part)
    bores = [
        (before, after, way)
        for before in _sorted(sizing.suction_bores or sizing.bores)
        for way in _or_none(sizing.branch_bores if branched else None)
        for after in _sorted(sizing.pressure_bores or sizing.bores)
    ]
    axes = (
        pumps(job),
        sizing.strainers if _has_strainer(job) and sizing.strainers else (None,),
        _or_none(sizing.seacock_bores),
        _or_none(sizing.barb_bores),
        bores,
    )
    count = math.prod(len(axis) for axis in axes)
    if count > _MOST_OPTIONS:
        raise JobError(
            [
                f"sizing: {count} combinations to study, and {_MOST_OPTIONS} at most; give fewer "
                "bores, pumps or strainers"
            ]
        )
    found = tuple(
        Choice(pump, *three, barb, seacock, strainer)
        for pump, strainer, seacock, barb, three in product(*axes)
        if barb is None or barb <= min(bore for bore in three if bore is not None)
    )
    if not found:
        raise JobError(["sizing: every barb listed is larger than every hose; list smaller ones"])
    return found


def pumps(job: Job) -> tuple[PumpCurve, ...]:
    """The pumps to choose from: those listed, or the job's own and all that run on its supply.

    Raises JobError for a listed pump that the boat's supply would run far off its rated speed.
    """
    listed = job.sizing.pumps
    if listed is not None:
        for curve in listed:
            with_pump(job.pump, curve)
        return tuple({curve.name: curve for curve in listed}.values())
    own = job.pump.curve
    fitting = [load_pump(name) for name in catalogue()]
    near = [curve for curve in fitting if curve.name != own.name and _runs_on(job.pump, curve)]
    return (own, *near)


def _runs_on(pump: Pump, curve: PumpCurve) -> bool:
    given = pump.supply or pump.curve.rated_supply
    return (
        curve.drive == pump.curve.drive
        and abs(given / curve.rated_supply - 1) <= _SUPPLY_WITHIN
        and curve.rated_frequency == pump.curve.rated_frequency
    )


def with_pump(pump: Pump, curve: PumpCurve) -> Pump:
    """The pump of the job with another curve, on the same supply where that fits its drive.

    Raises JobError where it cannot run on that supply.
    """
    if curve == pump.curve:
        return pump
    same_drive = curve.drive == pump.curve.drive
    try:
        return Pump(
            label=pump.label,
            curve=curve,
            supply=pump.supply if same_drive else None,
            frequency=pump.frequency if same_drive else None,
            count=pump.count,
            arrangement=pump.arrangement,
            off_centre=pump.off_centre,
            fore_aft=pump.fore_aft,
        )
    except ValidationError as error:
        raise JobError([f"sizing pumps: {item['msg']}" for item in error.errors()]) from None


def applied(job: Job, choice: Choice) -> Job:
    """The job with the choice fitted; every part keeps its place."""
    at = next(i for i, part in enumerate(job.part) if isinstance(part, Pump))
    sold = job.sizing.bores
    before = _Fitting(choice.suction_bore, choice, _hose_bores(job.part[:at]), sold, True)
    after = _Fitting(choice.pressure_bore, choice, _hose_bores(job.part[at:]), sold, False)
    parts = [
        with_pump(part, choice.pump)
        if isinstance(part, Pump)
        else (before if index < at else after).part(part)
        for index, part in enumerate(job.part)
    ]
    return with_parts(job, parts)


def with_parts(job: Job, parts: Sequence[Part], **changes: Any) -> Job:
    """The job with these parts, checked again; `changes` are other fields."""
    # The parts have taken the defaults already.
    kept = {name: value for name, value in job if name not in ("part", "defaults")}
    return Job.model_validate({**kept, **changes, "part": tuple(parts)})


@dataclass(frozen=True)
class _Fitting:
    """Fits one side of the loop, or a branch, with hose of one bore.

    ``was`` are the bores of the hoses there now, ``sold`` the bores to be had.
    """

    bore: float
    choice: Choice
    was: frozenset[float]
    sold: Sequence[float]
    suction: bool

    def part(self, part: Part) -> Part:
        """The part as the choice has it."""
        choice = self.choice
        if isinstance(part, Hose):
            hose = refitted(part, self.bore)
            if choice.barb_bore is None:
                return hose
            return hose.model_copy(update={"barb_bore": choice.barb_bore})
        if isinstance(part, Strainer) and choice.strainer:
            name, loss = choice.strainer.name, choice.strainer.loss
            return part.model_copy(update={"label": name, "loss": loss, "k": None})
        if isinstance(part, Intake | Seacock) and self.suction:
            return part if choice.seacock_bore is None else refitted(part, choice.seacock_bore)
        if isinstance(part, Manifold):
            part = part.model_copy(update={"branch": tuple(self._branches(part))})
        if isinstance(part, _GO_WITH_HOSE) and part.bore in self.was:
            return refitted(part, self.bore)
        return part

    def _branches(self, manifold: Manifold) -> Iterator[Any]:
        for branch in manifold.branch:
            was = _hose_bores(branch.part)
            bore = self.choice.branch_bore or self._in_proportion(was)
            inner = _Fitting(bore, self.choice, was, self.sold, False)
            yield branch.model_copy(
                update={"part": tuple(inner.part(part) for part in branch.part)}
            )

    def _in_proportion(self, was: frozenset[float]) -> float:
        """Bore for a branch with hoses of these bores: the size nearest to its present share."""
        share = max(was) / max(self.was) if was and self.was else 1.0
        if share == 1:
            return self.bore
        return min(self.sold, key=lambda bore: abs(math.log(bore / (self.bore * share))))


def refitted(part: Part, bore: float) -> Part:
    """The part in another bore [m]; a stated barb or port keeps its share of it."""
    changes = {"bore": bore}
    if isinstance(part, Hose) and part.barb_bore is not None:
        changes["barb_bore"] = part.barb_bore * bore / part.inner_bore
    if isinstance(part, Seacock) and part.port is not None:
        changes["port"] = part.port * bore / part.inner_bore
    return part.model_copy(update=changes)


def _hose_bores(parts: Sequence[Part]) -> frozenset[float]:
    return frozenset(part.inner_bore for part in parts if isinstance(part, Hose))


def _has_strainer(job: Job) -> bool:
    return any(isinstance(part, Strainer) for part in job.part)


def _sorted(bores: Sequence[float]) -> tuple[float, ...]:
    return tuple(sorted(set(bores)))


def _or_none(bores: Sequence[float] | None) -> tuple[float | None, ...]:
    return _sorted(bores) if bores else (None,)
