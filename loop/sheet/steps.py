"""Start-up and bleeding, in the order for this loop."""

import math
from collections.abc import Iterator

from loop.check import CheckResult
from loop.parts import Hose, Seacock, Strainer
from loop.parts.seacock import handle_angle
from loop.sheet.card import open_discharges
from loop.sheet.vents import Vent, called
from loop.units import show

# Common practice: a stream that has not come in twice the time that the hose takes to fill is late;
# and nobody's watch is read closer than five seconds.
_LATE, _WATCH = 2.0, 5.0
# Common practice: let a unit run so long before its temperatures are read.
_SETTLE = "ten minutes"


def steps(result: CheckResult, vents: tuple[Vent, ...]) -> tuple[str, ...]:
    """Sentences, one a step, in the order to take them; `vents` are the bleeds along the way."""
    return tuple(_Start(result, vents).steps())


class _Start:
    def __init__(self, result: CheckResult, vents: tuple[Vent, ...]) -> None:
        self.result = result
        self.network = result.point.network
        self.system = result.job.units
        self.vents = vents

    def steps(self) -> Iterator[str]:
        yield from self._mend()
        proposed = [vent.name for vent in self.vents if vent.proposed]
        if proposed:
            yield f"First fit {', '.join(proposed)}."
        yield (
            "Pump and units off at the breaker. Look at every barb: two clamps, tight, and no hose "
            "kinked or flattened."
        )
        yield from self._let_water_in()
        yield from self._strainers()
        yield self._prime()
        yield from self._bleeds_at_rest()
        yield from self._valves()
        yield from self._run()
        yield from self._bleeds_running()
        yield from self._finish()

    def _mend(self) -> Iterator[str]:
        """What keeps the loop from starting at all, told before anything else."""
        air = self.result.air
        after = "mend that first (see the findings). The steps below are for the loop so mended."
        if any(path.suction.stops_pump for path in air):
            yield f"No water passes the high point before the pump: {after}"
        elif any(not path.starts and not path.bleeds_suffice for path in air):
            yield f"The pump cannot push water over the high points after it: {after}"

    def _let_water_in(self) -> Iterator[str]:
        pump = self.network.pump_index
        cocks = [
            i for i, part in enumerate(self.network.parts) if isinstance(part, Seacock) and i < pump
        ]
        if not cocks:
            yield (
                "No seacock is listed before the pump: fit one, or take these steps ashore with "
                "the intake plugged."
            )
        for index in cocks:
            yield (
                f"Open {self._the(index)} slowly, all the way, a hand on it. Look for drips at "
                "every joint below the waterline; close it again if there is one."
            )

    def _strainers(self) -> Iterator[str]:
        for index, part in enumerate(self.network.parts):
            if not isinstance(part, Strainer):
                continue
            height = self.network.heights[index]
            if height < 0:
                yield (
                    f"{_cap(self._the(index))} lies {self._say(-height, 'height')} below the "
                    "water: crack its lid a quarter turn, a hand on the seacock. When clear water "
                    "without bubbles wells out, tighten it."
                )
            else:
                yield (
                    f"Fill {self._the(index)} with water by hand and close its lid: it stands "
                    "above the waterline and does not fill itself."
                )

    def _prime(self) -> str:
        pump = self.network.pump
        height = self.network.heights[self.network.pump_index]
        if height < 0:
            return (
                f"Wait a minute: the pump lies {self._say(-height, 'height')} below the water and "
                "fills itself."
            )
        if pump.curve.self_priming:
            return (
                f"Fill the pump's chamber with water: it stands {self._say(height, 'height')} "
                "above the waterline, and primes itself only when wet."
            )
        return (
            f"The pump stands {self._say(height, 'height')} above the waterline and does not prime "
            "itself: do not start it before that is mended (see the findings)."
        )

    def _bleeds_at_rest(self) -> Iterator[str]:
        for vent in self.vents:
            if vent.height < 0 and vent.useful:
                yield (
                    f"Pump still off, open {vent.name}, {self._say(-vent.height, 'height')} below "
                    "the water: the sea drives the air out. Close it on a steady run of water."
                )

    def _valves(self) -> Iterator[str]:
        for index, part in enumerate(self.network.parts):
            if not isinstance(part, Seacock) or index < self.network.pump_index:
                continue
            if part.shut:
                yield f"Leave {self._the(index)} shut{self._branch(index)}, as in the job."
            elif handle_angle(part.open) > 0:
                yield (
                    f"Set {self._the(index)}{self._branch(index)} "
                    f"{handle_angle(part.open):.0f}° from open."
                )
            else:
                yield f"Open {self._the(index)}{self._branch(index)} all the way."

    def _run(self) -> Iterator[str]:
        if not self.result.point.flow > 0:
            yield "Do not start the pump: nothing would flow (see the findings)."
            return
        outlets = self._outlets()
        what = "the discharge" if len(outlets) == 1 else "every discharge"
        sign = f"watch {what}: the stream should show"
        if not self._seen:
            sign = (
                "watch the gauge at its outlet, since no stream is seen under the water: it should "
                "stand at the card's pressure"
            )
        late = self._late()
        yield (
            f"Start the pump and {sign} within about {late:.0f} s. "
            "If it does not, stop the pump: it must not run dry. Bleed again, then look for a high "
            "point that holds air."
        )
        if len(outlets) > 1:
            order = "; ".join(self.network.branches[i] or self._the(i) for i in outlets)
            yield (
                f"The highest branch fills last; take them in this order: {order}. If one stays "
                "dry, shut the others' valves until its stream comes."
            )

    @property
    def _seen(self) -> bool:
        """Whether every stream that leaves the boat can be seen."""
        return open_discharges(self.network)

    def _outlets(self) -> list[int]:
        """Discharges that run, the one that needs the most head to start first."""
        needed: dict[int, float] = {}
        for (_, way), air in zip(self.network.paths(), self.result.air, strict=True):
            if self.result.point.part_flow(way[-1])[0] > 0:
                needed[way[-1]] = max(needed.get(way[-1], 0.0), air.start_head)
        return sorted(needed, key=lambda index: -needed[index])

    def _late(self) -> float:
        """Time [s] after which the stream is late: the slowest way's, in whole watch steps."""
        slowest = 0.0
        for _, way in self.network.paths():
            filling = 0.0
            for index in way:
                part = self.network.parts[index]
                flow = self.result.point.part_flow(index)[0]
                if isinstance(part, Hose) and index > self.network.pump_index and flow > 0:
                    filling += math.pi / 4 * part.inner_bore**2 * part.length / flow
            slowest = max(slowest, filling)
        return max(_WATCH * math.ceil(_LATE * slowest / _WATCH), 2 * _WATCH)

    def _bleeds_running(self) -> Iterator[str]:
        if not self.result.point.flow > 0:
            return
        for vent in self.vents:
            if not vent.useful:
                yield f"Leave {vent.name} shut: where it sits it lets no air out (see findings)."
            elif vent.height < 0:
                continue
            elif vent.draws_air:
                yield (
                    f"Stop the pump before you open {vent.name}: with the pump running the "
                    "pressure there is below the air's, and it would draw air in. Close it, "
                    "start again."
                )
            else:
                yield (
                    f"Pump running, open {vent.name} slowly and close it on water without bubbles."
                )

    def _finish(self) -> Iterator[str]:
        if not self.result.point.flow > 0:
            return
        stream, flow = ("stream", "bucket time") if self._seen else ("gauge reading", "flow")
        yield (
            f"With a steady {stream}, take the {flow}, the gauges and the watts. Stop the pump "
            f"for a minute and start it again: the {stream} must come back by itself, without a "
            "bleed."
        )
        yield (
            f"Switch the {_plural('unit', len(self.result.condensers))} on. After {_SETTLE} take "
            "the temperatures, look at every joint again for drips, and keep this card with "
            "the boat."
        )

    def _the(self, index: int) -> str:
        return called(self.network.labels[index])

    def _branch(self, index: int) -> str:
        branch = self.network.branches[index]
        return f" in {branch}" if branch else ""

    def _say(self, value: float, quantity: str) -> str:
        return show(value, quantity, self.system)


def _plural(word: str, count: int) -> str:
    return word if count == 1 else f"{word}s"


def _cap(text: str) -> str:
    return text[0].upper() + text[1:]
