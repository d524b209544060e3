"""Actions on single parts: take out, put in, clean, open, turn."""

import math
from typing import Any, ClassVar, Literal

from loop.job import Edit, Insert, Job, Put, Remove
from loop.parts.seacock import opening_at
from loop.parts.step import step_coefficient
from loop.records import dataclass
from loop.words.base import Action, Address, following, part_at


@dataclass(frozen=True)
class RemovePart(Action):
    """Take a part out of the line."""

    kind: ClassVar[str] = "remove-part"
    part: Address

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """One part fewer."""
        return (Remove(self.part),)


@dataclass(frozen=True)
class FitPart(Action):
    """A part of kind ``what`` just after `part`, of ``bore`` [m].

    ``loss`` [Pa] at ``flow`` [m³/s] is the most that a clean strainer may lose.
    """

    kind: ClassVar[str] = "fit-part"
    part: Address
    what: Literal["seacock", "strainer"]
    bore: float
    loss: float | None = None
    flow: float | None = None

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """One part more."""
        table: dict[str, Any] = {"kind": self.what, "bore": self.bore}
        if self.loss is not None:
            table["loss"] = f"{self.loss!r} Pa at {self.flow!r} m^3/s"
        return (Insert(following(job, self.part), table),)


@dataclass(frozen=True)
class FitAdapter(Action):
    """An adapter just after `part`, from one bore to another [m], in the flow direction."""

    kind: ClassVar[str] = "fit-adapter"
    part: Address
    bore: float
    to: float

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """A fitting with the loss of a sharp step, on the smaller bore."""
        coefficient = step_coefficient(self.bore, self.to)
        small = min(self.bore, self.to)
        table = {"kind": "fitting", "label": "adapter", "bore": small, "k": coefficient}
        return (Insert(following(job, self.part), table),)


@dataclass(frozen=True)
class MovePart(Action):
    """A part removed and refitted just after the part `to`, and the parts `then` after it.

    In the other hull of two, at a distance of ``off_centre`` [m] from the centerline.
    """

    kind: ClassVar[str] = "move-part"
    part: Address
    to: Address
    then: tuple[Address, ...] = ()
    off_centre: float | None = None

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """The same parts in another place."""
        edits = list[Edit]()
        for address in (self.part, *self.then):
            part = part_at(job, address)
            given = {"kind", *part.model_fields_set}
            fields = type(part).model_fields
            table = {name: getattr(part, name) for name in fields if name in given}
            if self.off_centre is not None and "off_centre" in fields:
                table["off_centre"] = self.off_centre
            edits += [Remove(address), Insert(following(job, self.to), table)]
        return tuple(edits)


@dataclass(frozen=True)
class CleanStrainer(Action):
    """Empty a strainer's basket."""

    kind: ClassVar[str] = "clean-strainer"
    part: Address

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Blocked share set to 0."""
        return (Put(f"{self.part}.blocked", 0.0),)


@dataclass(frozen=True)
class CleanGrate(Action):
    """Clear growth and weed off an intake's grate, so that ``open`` of its face is open again."""

    kind: ClassVar[str] = "clean-grate"
    part: Address
    open: float

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """The open share of a clean one."""
        return (Put(f"{self.part}.grate_open", self.open),)


@dataclass(frozen=True)
class ChangeGrate(CleanGrate):
    """Another grate on an intake, with a face of `area` [m²]; fitted from outside."""

    kind: ClassVar[str] = "change-grate"
    area: float

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Its face, and its open share."""
        return (Put(f"{self.part}.grate_area", self.area), *super().edits(job))


@dataclass(frozen=True)
class Descale(Action):
    """Remove the scale from a condenser's tube."""

    kind: ClassVar[str] = "descale"
    part: Address

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """No scale."""
        return (Put(f"{self.part}.scale", 0.0),)


@dataclass(frozen=True)
class SetValve(Action):
    """An existing ball valve, its handle at an angle from open [rad]; 0 is open."""

    kind: ClassVar[str] = "set-valve"
    part: Address
    angle: float = 0.0

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Its opening."""
        return (Put(f"{self.part}.open", opening(self.angle)),)


@dataclass(frozen=True)
class FitValve(Action):
    """A ball valve to fit just after `part`, port `bore` [m], handle at an angle from open [rad].

    ``branch`` is its branch, "" on the main line; ``unit`` the unit that it is set for, "" if
    none.
    """

    kind: ClassVar[str] = "fit-valve"
    part: Address
    bore: float
    angle: float
    branch: str = ""
    unit: str = ""

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """One ball valve more."""
        table = {"kind": "seacock", "label": "throttle valve", "bore": self.bore}
        return (Insert(following(job, self.part), {**table, "open": opening(self.angle)}),)


@dataclass(frozen=True)
class FitOrifice(Action):
    """An orifice just after `part`, of loss coefficient K on `bore` [m]; as `FitValve`."""

    kind: ClassVar[str] = "fit-orifice"
    part: Address
    bore: float
    coefficient: float
    branch: str = ""
    unit: str = ""

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """One fitting more."""
        table = {"kind": "fitting", "label": "orifice", "bore": self.bore, "k": self.coefficient}
        return (Insert(following(job, self.part), table),)


@dataclass(frozen=True)
class TurnScoop(Action):
    """The intake turned to face another way, or replaced by a flush grate."""

    kind: ClassVar[str] = "turn-scoop"
    part: Address
    facing: Literal["forward", "flush"]

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """The way it faces."""
        return (Put(f"{self.part}.facing", self.facing),)


def opening(angle: float) -> float:
    """A ball valve's opening, 1 to 0, at a handle angle from open [rad]."""
    return opening_at(round(math.degrees(angle), 9))
