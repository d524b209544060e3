"""Parts list of a loop: its parts added up, plus the barbs and clamps for its hoses."""

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TypeAlias

from loop.hydraulics import Network
from loop.job import locate
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
from loop.parts.hose import USUAL_LINING
from loop.parts.seacock import handle_angle
from loop.records import dataclass
from loop.sheet.articles import Piece, article, not_cut_from
from loop.sheet.content import Item
from loop.units import System, parse
from loop.words.job_sheet import SAY
from loop.words.numbers import exact, round_up
from loop.words.size_actions import duty
from loop.words.speaker import Speaker
from loop.words.template import Value

# Common practice: hose bought beyond the measured length, for trimming and routing.
ALLOWANCE = 0.10
# Common practice: two clamps per barb.
CLAMPS_A_BARB = 2


def note() -> str:
    """What the list includes, and what it leaves out."""
    return SAY("buy-measure", allowance=ALLOWANCE, clamps=CLAMPS_A_BARB)


def items(network: Network, found: Network, wishes: Mapping[int, float]) -> tuple[Item, ...]:
    """All parts of a network: hose first, then the other parts in flow order.

    Parts that the network `found` lacks are marked to be bought. `wishes` are the bores [m] that
    findings ask for, by the hose's index.
    """
    return tuple(_Counter(network, wishes).items(_Counter(found, {})))


@dataclass(frozen=True)
class _Reel:
    """Hose bought in one length: same bore, same lining, same duty."""

    bore: float
    lining: str
    suction: bool


# Hoses with their indices.
_Hoses: TypeAlias = list[tuple[int, Hose]]


def _length(hoses: _Hoses) -> float:
    """Total length of hoses [m]."""
    return sum(hose.length for _, hose in hoses)


class _Counter:
    def __init__(self, network: Network, wishes: Mapping[int, float]) -> None:
        self.network = network
        self.wishes = wishes
        self.addresses = [item.address for item in locate(network.job.part)]
        self.system: System = network.job.units

    def items(self, found: "_Counter") -> Iterator[Item]:
        yield from self._hose(found)
        whole, stock = self._counted(), found._counted()
        fresh = whole - stock
        # A valve that only gets a new setting, or a pump on another supply, is not bought again.
        stock -= whole
        spare = Counter[tuple[str, ...]]()
        for one, count in stock.items():
            spare[one.article] += count
        for one, count in whole.items():
            used = min(fresh[one], spare[one.article])
            spare[one.article] -= used
            new = fresh[one] - used
            yield replace(one.item, count=str(count), new=str(new) if new else "")

    def _counted(self) -> "Counter[Piece]":
        """The pieces bought by count, in the order of the list."""
        pieces = Counter[Piece]()
        for piece, count in self._barbs():
            pieces[piece] += count
        for index, part in enumerate(self.network.parts):
            described = self._described(part, self.network.labels[index])
            if described is not None:
                count, item = described
                pieces[Piece(item, article(part, item))] += count
        return pieces

    def _hoses(self) -> Iterator[tuple[int, Hose]]:
        for index, part in enumerate(self.network.parts):
            if isinstance(part, Hose):
                yield index, part

    def _hose(self, found: "_Counter") -> Iterator[Item]:
        stock = found._reels()
        for reel, hoses in self._reels().items():
            there = [hose.length for _, hose in stock.get(reel, [])]
            new = [hoses[n] for n in not_cut_from(there, [hose.length for _, hose in hoses])]
            yield Item(
                self._bought(hoses),
                SAY("buy-hose-suction" if reel.suction else "buy-hose-pressure"),
                self._say("buy-hose", bore=reel.bore, lining=reel.lining),
                self._measured(reel, hoses),
                self._bought(new) if new else "",
                self._measured(reel, new) if new else "",
            )

    def _measured(self, reel: _Reel, hoses: _Hoses) -> str:
        """Total measured length, and which of the hoses a finding asks for in another bore."""
        asked: dict[float, list[str]] = {}
        for index, _ in hoses:
            if index in self.wishes:
                asked.setdefault(self.wishes[index], []).append(self.addresses[index])
        speaker = Speaker(self.network.job)
        wishes = [
            self._say("buy-wish", bore=bore, hoses=speaker.names(parts))
            for bore, parts in asked.items()
        ]
        return self._say(
            "buy-suction-note" if reel.suction else "buy-hose-note",
            length=_length(hoses),
            wishes="; ".join(wishes) or None,
        )

    def _reels(self) -> dict[_Reel, _Hoses]:
        reels: dict[_Reel, _Hoses] = {}
        for index, hose in self._hoses():
            suction = index < self.network.pump_index
            reel = _Reel(hose.inner_bore, self._lining(hose), suction)
            reels.setdefault(reel, []).append((index, hose))
        return reels

    def _lining(self, hose: Hose) -> str:
        if hose.roughness is not None:
            return SAY("buy-roughness", mm=f"{hose.roughness * 1000:.2g}")
        return hose.lining or USUAL_LINING

    def _bought(self, hoses: _Hoses) -> str:
        """Length to buy, with the allowance, in whole feet or half meters."""
        unit, step = ("ft", 1.0) if self.system == "us" else ("m", 0.5)
        whole = parse(f"{step} {unit}", "length")
        steps = math.ceil(_length(hoses) * (1 + ALLOWANCE) / whole - 1e-9)
        return f"{steps * step:g} {unit}"

    def _barbs(self) -> Iterator[tuple["Piece", int]]:
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
            size, note = (
                self._say("buy-for-hose", bore=bore),
                self._say("buy-barb-bore", bore=barb),
            )
            yield Piece.of(Item("", SAY("buy-barbs"), size, note)), count
        for bore, count in clamps.items():
            size = self._say("buy-for-hose", bore=bore)
            each = SAY("buy-clamps-note", clamps=CLAMPS_A_BARB)
            yield Piece.of(Item("", SAY("buy-clamps"), size, each)), count

    def _described(self, part: Part, label: str) -> tuple[int, Item] | None:
        """How many of a part to buy, and its line without the count; None if it is not on the list.

        Hose is counted by length, and a condenser comes with its unit.
        """
        bore = part.inner_bore
        match part:
            case Intake():
                row = "buy-flush" if part.facing == "flush" else "buy-scoop"
                note = self._say(row, facing=part.facing, area=part.grate_area)
                return 1, self._line("buy-intake", bore, note)
            case Seacock():
                turned = handle_angle(part.open)
                note = SAY("buy-valve-set", angle=turned) if turned > 0 else ""
                size = self._say("buy-port", bore=part.port or bore)
                return 1, Item("", SAY("buy-valve" if turned > 0 else "buy-seacock"), size, note)
            case Strainer():
                return 1, self._line("buy-strainer", bore, self._rated(part))
            case Pump():
                return part.count, self._pump(part)
            case Manifold():
                branches = SAY("buy-branches", count=len(part.branch))
                return 1, Item("", SAY("buy-manifold"), self._header(part), branches)
            case Bleed():
                return 1, Item("", SAY("buy-bleed"), self._say("buy-tee", bore=bore))
            case Elbow():
                elbow = self._say("buy-elbow", angle=part.angle)
                return part.count, Item("", elbow, self._bore(bore))
            case Tee():
                return 1, self._line("buy-closed-tee", bore)
            case Fitting():
                return part.count, Item("", label, self._bore(bore))
            case Discharge():
                return 1, self._line("buy-discharge", bore)
            case Hose() | Condenser():
                return None
        return 1, Item("", part.kind, self._bore(bore))

    def _line(self, row: str, bore: float, note: str = "") -> Item:
        return Item("", SAY(row), self._bore(bore), note)

    def _pump(self, pump: Pump) -> Item:
        frequency = pump.frequency or pump.curve.rated_frequency
        note = self._say(
            "buy-pump-ac" if frequency else "buy-pump-dc",
            supply=pump.supply or pump.curve.rated_supply,
            frequency=frequency,
            primes=SAY("buy-primes" if pump.curve.self_priming else "buy-does-not-prime"),
            count=pump.count if pump.count > 1 else None,
            arrangement=pump.arrangement,
        )
        ports = self._say("buy-ports", bore=pump.inner_bore)
        return Item("", self._called(pump), ports, note)

    def _called(self, pump: Pump) -> str:
        """A pump's name; for a pump asked for by an action, its least rated duty."""
        rated = duty(pump)
        if rated is None:
            return SAY("buy-pump", name=pump.curve.name)
        head, flow = (
            exact(round_up(value, quantity, self.system), quantity, self.system)
            for value, quantity in zip(rated, ("head", "flow"), strict=True)
        )
        return SAY("buy-pump-rated", head=head, flow=flow)

    def _rated(self, strainer: Strainer) -> str:
        if strainer.loss is None:
            return SAY("buy-strainer-k", k=strainer.k)
        loss = strainer.loss
        return self._say("buy-strainer-drop", drop=loss.drop, flow=loss.flow)

    def _header(self, manifold: Manifold) -> str:
        for fork in self.network.forks:
            if self.network.parts[fork.manifold] is manifold:
                return self._say("buy-header", bore=fork.header_bore)
        raise KeyError(manifold)

    def _bore(self, metres: float) -> str:
        return self._say("buy-bore", bore=metres)

    def _say(self, row: str, **values: Value | None) -> str:
        return SAY(row, self.system, **values)
