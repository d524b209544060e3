"""What to buy for a loop: its parts, added up, with the barbs and clamps that its hoses need."""

import math
from collections.abc import Iterator

from loop.hydraulics import Network
from loop.parts import (
    Bleed,
    Condenser,
    Discharge,
    Elbow,
    Fitting,
    Hose,
    Intake,
    Manifold,
    Part,
    Pump,
    Seacock,
    Strainer,
    Tee,
)
from loop.parts.seacock import handle_angle
from loop.records import dataclass
from loop.sheet.content import Item
from loop.sheet.vents import Vent
from loop.units import System, parse, show

# Common practice: hose bought over the length measured, for trimming and for the lie of the run.
ALLOWANCE = 0.10
# Common practice: two clamps on every barb.
CLAMPS_A_BARB = 2

NOTE = (
    f"Hose: length measured, plus {ALLOWANCE:.0%} for trimming (common practice), rounded up. "
    "Clamps: two per barb (common practice). The unit's own condenser and the wiring are not "
    "listed."
)


def items(network: Network, vents: tuple[Vent, ...] = ()) -> tuple[Item, ...]:
    """The shopping list of a network: hose first, then the parts in the water's order.

    Of `vents`, those proposed come last; those fitted are among the parts.
    """
    proposed = (vent for vent in vents if vent.proposed)
    return (
        *_Counter(network).items(),
        *(Item("1", "bleed valve, proposed", "on a tee", vent.place) for vent in proposed),
    )


@dataclass(frozen=True)
class _Reel:
    """Hose that is bought as one length: same bore, same lining, same duty."""

    bore: float
    lining: str
    suction: bool


class _Counter:
    def __init__(self, network: Network) -> None:
        self.network = network
        self.system: System = network.job.units

    def items(self) -> Iterator[Item]:
        yield from self._hose()
        yield from self._barbs()
        alike: dict[Item, int] = {}
        for index, part in enumerate(self.network.parts):
            described = self._described(part, self.network.labels[index])
            if described is not None:
                count, item = described
                alike[item] = alike.get(item, 0) + count
        for item, count in alike.items():
            yield Item(str(count), item.what, item.size, item.note)

    def _hoses(self) -> Iterator[tuple[int, Hose]]:
        for index, part in enumerate(self.network.parts):
            if isinstance(part, Hose):
                yield index, part

    def _hose(self) -> Iterator[Item]:
        reels: dict[_Reel, float] = {}
        for index, hose in self._hoses():
            suction = index < self.network.pump_index
            lining = self._lining(hose)
            reel = _Reel(hose.inner_bore, lining, suction)
            reels[reel] = reels.get(reel, 0.0) + hose.length
        for reel, length in reels.items():
            yield Item(
                self._bought(length),
                "hose, suction" if reel.suction else "hose, pressure",
                f"{self._bore(reel.bore)}, {reel.lining}",
                f"{show(length, 'length', self.system)} measured"
                + ("; of a kind that does not collapse" if reel.suction else ""),
            )

    def _lining(self, hose: Hose) -> str:
        if hose.roughness is not None:
            return f"bore roughness {hose.roughness * 1000:.2g} mm"
        return hose.lining or "smooth rubber"

    def _bought(self, length: float) -> str:
        """Length with its allowance, in whole feet or half metres."""
        unit, step = ("ft", 1.0) if self.system == "us" else ("m", 0.5)
        whole = parse(f"{step} {unit}", "length")
        steps = math.ceil(length * (1 + ALLOWANCE) / whole - 1e-9)
        return f"{steps * step:g} {unit}"

    def _barbs(self) -> Iterator[Item]:
        barbs: dict[tuple[float, float], int] = {}
        clamps: dict[float, int] = {}
        for _, hose in self._hoses():
            if hose.barbs:
                key = (hose.inner_bore, hose.barb)
                barbs[key] = barbs.get(key, 0) + hose.barbs
                clamps[hose.inner_bore] = (
                    clamps.get(hose.inner_bore, 0) + CLAMPS_A_BARB * hose.barbs
                )
        for (bore, barb), count in barbs.items():
            yield Item(
                str(count),
                "barbed ends",
                f"for {self._bore(bore)} hose",
                f"bore at least {show(barb, 'bore', self.system)}",
            )
        for bore, count in clamps.items():
            yield Item(str(count), "hose clamps", f"for {self._bore(bore)} hose", "two per barb")

    def _described(self, part: Part, label: str) -> tuple[int, Item] | None:
        """How many to buy of a part, and its line without the count; None for what is not bought.

        Hoses are counted by length, and a condenser comes with its unit.
        """
        match part:
            case Intake():
                facing = "flush grate" if part.facing == "flush" else f"scoop facing {part.facing}"
                return 1, Item("", "intake through-hull", self._bore(part.inner_bore), facing)
            case Seacock():
                port = part.port or part.inner_bore
                turned = handle_angle(part.open)
                note = f"set {turned:.0f}° from open" if turned > 0 else ""
                what = "ball valve" if turned > 0 else "seacock or ball valve"
                return 1, Item("", what, f"{self._bore(port)} port", note)
            case Strainer():
                return 1, Item("", "strainer", self._bore(part.inner_bore), self._rated(part))
            case Pump():
                return part.count, self._pump(part)
            case Manifold():
                count = len(part.branch)
                return 1, Item("", "manifold", self._header(part), f"{count} branches")
            case Bleed():
                return 1, Item("", "bleed valve", f"on a {self._bore(part.inner_bore)} tee")
            case Elbow():
                angle = show(part.angle, "angle", self.system)
                return part.count, Item("", f"elbow, {angle}", self._bore(part.inner_bore))
            case Tee():
                return 1, Item("", "tee, branch closed", self._bore(part.inner_bore))
            case Fitting():
                return part.count, Item("", label, self._bore(part.inner_bore))
            case Discharge():
                return 1, Item("", "discharge through-hull", self._bore(part.inner_bore))
            case Hose() | Condenser():
                return None
        return 1, Item("", part.kind, self._bore(part.inner_bore))

    def _pump(self, pump: Pump) -> Item:
        supply = show(pump.supply or pump.curve.rated_supply, "voltage", self.system, digits=0)
        frequency = pump.frequency or pump.curve.rated_frequency
        current = f"{frequency:.0f} Hz" if frequency else "DC"
        port = self._bore(pump.inner_bore)
        primes = "self-priming" if pump.curve.self_priming else "not self-priming"
        group = f"; {pump.count} in {pump.arrangement}" if pump.count > 1 else ""
        return Item(
            "", f"pump {pump.curve.name}", f"{port} ports", f"{supply} {current}, {primes}{group}"
        )

    def _rated(self, strainer: Strainer) -> str:
        if strainer.loss is None:
            return f"K {strainer.k:g} or less, clean"
        drop = show(strainer.loss.drop, "pressure", self.system)
        return f"{drop} or less at {show(strainer.loss.flow, 'flow', self.system)}, clean"

    def _header(self, manifold: Manifold) -> str:
        for fork in self.network.forks:
            if self.network.parts[fork.manifold] is manifold:
                return f"{self._bore(fork.header_bore)} header"
        raise KeyError(manifold)

    def _bore(self, metres: float) -> str:
        return show(metres, "bore", self.system)
