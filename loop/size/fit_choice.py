"""Fit a choice into a job: its parts changed, or the edits of its file."""

from collections.abc import Iterator, Sequence
from typing import Any

from loop.job import Edit, Job, Put, locate
from loop.parts import (
    Hose,
    Intake,
    Manifold,
    Part,
    Pump,
    Seacock,
    Strainer,
)
from loop.pumps import catalogue
from loop.pumps.supply import supply_suits
from loop.records import dataclass
from loop.size.corrections import corrected
from loop.size.options import Choice
from loop.words.actions import Action


def edits(job: Job, choice: Choice, first: tuple[Action, ...] = ()) -> tuple[Edit, ...]:
    """The edits that apply the actions of `first` and fit a choice; every part keeps its place."""
    return tuple(edits_between(job, with_choice(corrected(job, first), choice)))


def edits_between(job: Job, new: Job) -> Iterator[Edit]:
    """The edits that turn one job into another with the same parts in other sizes."""
    for old, now in zip(locate(job.part), locate(new.part), strict=True):
        for name in type(old.part).model_fields:
            value = getattr(now.part, name)
            if name in ("branch", "guessed") or value == getattr(old.part, name):
                continue
            if name == "curve" and value.name in catalogue():
                value = value.name
            yield Put(f"{old.address}.{name}", value)
    if new.fitted.pump != job.fitted.pump:
        yield Put("fitted.pump", new.fitted.pump)


def fitted_pump(job: Job, choice: Choice) -> Pump:
    """The job's pump with the choice's curve, on the present supply if that suits it."""
    pump, curve = job.pump, choice.pump
    changes: dict[str, Any] = {
        "curve": curve, "count": choice.count, "arrangement": choice.arrangement
    }  # fmt: skip
    if not supply_suits(pump.power_supply, curve):
        changes |= {"supply": None, "frequency": None}
    elif curve.rated_frequency != pump.curve.rated_frequency:
        changes["frequency"] = pump.power_supply.hertz
    return pump.model_copy(update=changes)


def with_choice(job: Job, choice: Choice) -> Job:
    """The job with the choice fitted; every part keeps its place."""
    if choice.as_is:
        return job
    pump_index = job.pump_index
    suction, pressure = job.part[:pump_index], job.part[pump_index:]
    branches = iter(choice.branch_bores)
    before = _LineFitter(choice.suction_bore, choice, _hose_bores(suction), True, branches)
    after = _LineFitter(choice.pressure_bore, choice, _hose_bores(pressure), False, branches)
    parts = [
        fitted_pump(job, choice)
        if isinstance(part, Pump)
        else (before if index < pump_index else after).part(part)
        for index, part in enumerate(job.part)
    ]
    changes: dict[str, Any] = {"part": tuple(parts)}
    if choice.pump.name != job.pump.curve.name:  # another pump does not have this one's wear
        changes["fitted"] = job.fitted.model_copy(update={"pump": 1.0})
    # New sizes leave the layout unchanged: skip validation, since this is on the hot path.
    return job.model_copy(update=changes)


def with_parts(job: Job, parts: Sequence[Part], **changes: Any) -> Job:
    """The job with these parts, validated again; `changes` are other fields."""
    # The defaults are already in the parts.
    kept = {name: value for name, value in job if name not in ("part", "defaults")}
    return Job.model_validate({**kept, **changes, "part": tuple(parts)})


@dataclass(frozen=True)
class _LineFitter:
    """Fits one line of the loop with hose of one bore, in place of `present_bores`.

    ``branches`` yields the bores of the branches that follow, in file order.
    """

    bore: float
    choice: Choice
    present_bores: frozenset[float]
    is_suction: bool
    branches: Iterator[float]

    def part(self, part: Part) -> Part:
        """The part as the choice has it."""
        choice = self.choice
        if isinstance(part, Hose):
            hose = resized(part, self.bore)
            if choice.barb_bore is None:
                return hose
            return hose.model_copy(update={"barb_bore": choice.barb_bore})
        if isinstance(part, Strainer) and choice.strainer:
            name, loss = choice.strainer.name, choice.strainer.loss
            return part.model_copy(update={"label": name, "loss": loss, "k": None})
        if isinstance(part, Intake | Seacock) and self.is_suction:
            return part if choice.seacock_bore is None else resized(part, choice.seacock_bore)
        if isinstance(part, Manifold):
            part = part.with_lines(self._branch)
        if part.with_hose and part.bore in self.present_bores:
            return resized(part, self.bore)
        return part

    def _branch(self, parts: tuple[Part, ...]) -> Iterator[Part]:
        bore, present_bores = next(self.branches), _hose_bores(parts)
        return map(_LineFitter(bore, self.choice, present_bores, False, self.branches).part, parts)


def resized(part: Part, bore: float) -> Part:
    """The part in another bore [m]; a stated barb or port keeps its ratio to it."""
    changes = {"bore": bore}
    if isinstance(part, Hose) and part.barb_bore is not None:
        changes["barb_bore"] = part.barb_bore * bore / part.inner_bore
    if isinstance(part, Seacock) and part.port is not None:
        changes["port"] = part.port * bore / part.inner_bore
    return part.model_copy(update=changes)


def _hose_bores(parts: Sequence[Part]) -> frozenset[float]:
    return frozenset(part.inner_bore for part in parts if isinstance(part, Hose))
