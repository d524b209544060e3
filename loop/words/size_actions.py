"""Actions that change a size: hose, pump, supply."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any, ClassVar

from loop.job import Edit, Job, Put
from loop.parts import Fitting, Manifold, Pump, Seacock
from loop.parts.hose import Lining
from loop.parts.step import ADAPTER
from loop.pumps import PumpCurve, load_pump
from loop.pumps.doubts import most_head
from loop.pumps.supply import is_mains
from loop.records import dataclass
from loop.words.base import Action, Address, on_line, part_at

# Usual curve of a small centrifugal pump: head over shut-off head, against flow over duty flow, for
# a pump chosen to work at seven tenths of its shut-off head. Engineering estimate.
_FLOWS = (0.0, 0.25, 0.5, 0.75, 1.0, 1.2, 1.4, 1.5)
_HEADS = (1.0, 0.985, 0.94, 0.85, 0.7, 0.53, 0.31, 0.18)
# Index of the duty among them, and the name of that pump.
_DUTY, _RATED = 4, "rated pump"


@dataclass(frozen=True)
class ChangeHose(Action):
    """Hoses to replace with another bore [m], with matching barbs, and the fittings with them.

    If ``lining`` is given, all these hoses get it, whatever they had.
    """

    kind: ClassVar[str] = "change-hose"
    parts: tuple[Address, ...]
    bore: float
    fittings: tuple[Address, ...] = ()
    lining: Lining | None = None

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Bore of each hose, its barbs and its lining; bore of the fittings."""
        new: dict[str, Any] = {"bore": self.bore, "barb_bore": None}
        if self.lining is not None:
            new |= {"lining": self.lining, "roughness": None}
        hoses = (Put(f"{at}.{key}", value) for at in self.parts for key, value in new.items())
        fittings = (
            step for address in self.fittings for step in ChangeBore(address, self.bore).edits(job)
        )
        return (*hoses, *fittings)


@dataclass(frozen=True)
class ChangeBarbs(Action):
    """Barbs of the usual bore for their hose, in place of narrower ones."""

    kind: ClassVar[str] = "change-barbs"
    parts: tuple[Address, ...]

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """No barb bore stated."""
        return tuple(Put(f"{address}.barb_bore", None) for address in self.parts)


@dataclass(frozen=True)
class ChangeStrainer(Action):
    """A strainer replaced by one that loses `loss` [Pa] at `flow` [m³/s], clean."""

    kind: ClassVar[str] = "change-strainer"
    part: Address
    loss: float
    flow: float

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Its loss, and nothing of it blocked."""
        return (
            Put(f"{self.part}.k", None),
            Put(f"{self.part}.loss", f"{self.loss!r} Pa at {self.flow!r} m^3/s"),
            Put(f"{self.part}.blocked", 0.0),
        )


@dataclass(frozen=True)
class ChangeFitting(Action):
    """A fitting cleaned, or replaced by its kind; each loses `loss` [Pa] at `flow` [m³/s].

    It may guard the pump or the unit, or be the unit, so it is never removed.
    """

    kind: ClassVar[str] = "change-fitting"
    part: Address
    loss: float
    flow: float

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Its loss, in place of what was stated."""
        stated = (Put(f"{self.part}.{name}", None) for name in ("k", "cv", "kv"))
        return (*stated, Put(f"{self.part}.loss", f"{self.loss!r} Pa at {self.flow!r} m^3/s"))


@dataclass(frozen=True)
class ChangeBore(Action):
    """A fitting or hull opening in another bore [m]; a seacock becomes full bore."""

    kind: ClassVar[str] = "change-bore"
    part: Address
    bore: float

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Its bore; a port of its own is removed."""
        edit = Put(f"{self.part}.bore", self.bore)
        part = part_at(job, self.part)
        if not isinstance(part, Seacock) or part.port is None:
            return (edit,)
        return (edit, Put(f"{self.part}.port", None))


@dataclass(frozen=True)
class FitFullBore(Action):
    """A full-port ball valve in place of one with a reduced port."""

    kind: ClassVar[str] = "fit-full-bore"
    part: Address

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """No port stated."""
        return (Put(f"{self.part}.port", None),)


@dataclass(frozen=True)
class ChangePump(Action):
    """Another pump in place of the existing one; as many as there are, or ``single``.

    ``curve`` is given for a pump that is not in the catalog; ``as_rated`` if it runs on its rated
    supply instead of the one that the job states.
    """

    kind: ClassVar[str] = "change-pump"
    part: Address
    name: str
    curve: PumpCurve | None = None
    as_rated: bool = False
    single: bool = False

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """The pump's curve, how many there are, and its supply."""
        edits: tuple[Edit, ...] = (
            Put(f"{self.part}.curve", self.curve or self.name),
            *_as_new(job),
        )
        if self.single:
            edits = (*edits, Put(f"{self.part}.count", 1))
        if not self.as_rated:
            return (*edits, *self._same_frequency(job.pump))
        return (*edits, *(Put(f"{self.part}.{key}", None) for key in ("supply", "frequency")))

    def _same_frequency(self, now: Pump) -> Iterator[Edit]:
        """The boat's frequency, stated if the new pump is rated for another that it runs on."""
        rated = (self.curve or load_pump(self.name)).rated_frequency
        hertz = now.power_supply.hertz
        if None not in (rated, hertz) and rated != hertz:
            yield Put(f"{self.part}.frequency", hertz)

    def to_dict(self) -> dict[str, Any]:
        """As every action's, with the curve given by name."""
        return replace(self, curve=None).to_dict() if self.curve else super().to_dict()


@dataclass(frozen=True)
class FitPumpRated(Action):
    """A pump, or all existing pumps together, giving ``head`` [m] at ``flow`` [m³/s].

    On the pump's supply in the job. ``self_priming`` if it must be self-priming.
    """

    kind: ClassVar[str] = "fit-pump-rated"
    part: Address
    head: float
    flow: float
    self_priming: bool = False

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """A curve of the usual shape through the duty."""
        pump = rated(job.pump, self.head, self.flow, self.self_priming)
        return (Put(f"{self.part}.curve", pump), *_as_new(job))


@dataclass(frozen=True)
class SetSupply(Action):
    """The pump's supply [V], and for an AC pump its frequency [Hz]."""

    kind: ClassVar[str] = "set-supply"
    part: Address
    voltage: float | None = None
    frequency: float | None = None

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Whichever of the two is given."""
        new: dict[str, Any] = {"supply": self.voltage, "frequency": self.frequency}
        return tuple(Put(f"{self.part}.{key}", v) for key, v in new.items() if v is not None)

    def other_mains(self, job: Job) -> bool:
        """Whether it asks for another mains frequency, which no wiring gives."""
        there = job.pump.frequency
        return self.frequency is not None and (there is None or is_mains(there))


def _as_new(job: Job) -> tuple[Edit, ...]:
    """The baseline's pump factor reset to 1: a new pump is not worn like the old one."""
    return () if job.fitted.pump == 1 else (Put("fitted.pump", 1.0),)


def narrower_beside(job: Job, action: ChangeHose) -> tuple[Address, ...]:
    """Parts next to hoses that an action widens that would be too narrow for the new barbs.

    Not fittings, whose stated loss includes their ends, nor headers, whose tees match the branches.
    """
    changed = {*action.parts, *action.fittings}
    found: dict[Address, None] = {}
    for address in action.parts:
        if part_at(job, address).inner_bore >= action.bore:
            continue
        line = on_line(job, address)
        here = next(i for i, item in enumerate(line) if item.address == address)
        for item in line[max(here - 1, 0) : here + 2]:
            if item.address in changed or isinstance(item.part, Fitting | Manifold):
                continue
            if item.part.inner_bore * ADAPTER < action.bore:
                found[item.address] = None
    return tuple(found)


def rated(pump: Pump, head: float, flow: float, self_priming: bool = False) -> PumpCurve:
    """Curve at rated supply with which the pump, on its actual supply, gives `head` at `flow`.

    Drive, ratings and port are those of the existing pump. ValueError if no pump is made for that.
    """
    speed, now = pump.speed, pump.curve
    each_flow, each_head = flow / pump.in_parallel, head / pump.in_series
    if each_head > most_head(each_flow):
        raise ValueError("no impeller gives as much head at this flow")
    shutoff = each_head / speed**2 / _HEADS[_DUTY]
    each_flow /= speed
    return PumpCurve.model_validate(
        {
            "name": _RATED,
            "note": "Of the usual shape of small centrifugal pumps, through a stated duty.",
            "drive": now.drive,
            "rated_supply": now.rated_supply,
            "rated_frequency": now.rated_frequency,
            "supply_range": now.supply_range,
            "frequencies": now.frequencies,
            "self_priming": now.self_priming or self_priming,
            "priming_lift": now.priming_lift,
            "port": now.port,
            "curve": {
                "flow": {"unit": "m^3/s", "values": [share * each_flow for share in _FLOWS]},
                "head": {"unit": "m", "values": [share * shutoff for share in _HEADS]},
            },
        }
    )


def duty(pump: Pump) -> tuple[float, float] | None:
    """Head [m] and flow [m³/s] required of each pump of `FitPumpRated`; None for another pump."""
    curve = pump.curve
    if curve.name != _RATED:
        return None
    head, flow = curve.points.head[_DUTY], curve.points.flow[_DUTY]
    return float(head) * pump.speed**2, float(flow) * pump.speed
