"""Steps from the first start of the pump to the readings."""

import math
from collections.abc import Iterator

from loop.parts import Hose
from loop.sheet.card import open_discharges
from loop.sheet.told import Told, capital, listed
from loop.words import say

# Common practice: a stream that has not come in twice the time that the hose takes to fill is late;
# and nobody's watch is read closer than five seconds.
_LATE, _WATCH = 2.0, 5.0
# Common practice: let a unit run so long before its temperatures are read.
_SETTLE = "ten minutes"


class Running(Told):
    """Start, watch for the streams, bleed, read."""

    def steps(self) -> Iterator[str]:
        """The steps, in their order."""
        if not self.result.point.flow > 0:
            yield "Do not start the pump: nothing would flow (see the findings)."
            return
        yield from self._held_back()
        yield from self._opened_first()
        yield self._start()
        yield from self._streams()
        yield from self._bleeds()
        yield from self._finish()

    def _held_back(self) -> Iterator[str]:
        """The branches that fill only while others are held back."""
        for finding in self.result.findings:
            if finding.code == "start-head-short" and finding.values.get("case") == "beside":
                said = say(finding, self.result.job)
                branch = capital(str(finding.at.branch))
                yield f"{branch} does not prime while the others run: {said.always}."

    def _opened_first(self) -> Iterator[str]:
        """Bleeds above the water that would draw air in once the stream runs."""
        for vent in self.vents:
            if vent.useful and vent.draws_air and vent.height >= 0:
                yield (
                    f"Open {vent.name} before you start the pump, and close it as soon as water "
                    "comes without bubbles, once the stream runs: it would draw air in then. "
                    "Stopped, the line drains, and nothing can be vented."
                )

    def _start(self) -> str:
        what = "the discharge" if len(self._outlets()) == 1 else "every discharge"
        sign = f"watch {what}: the stream should show"
        if not self._seen:
            sign = (
                "watch the gauge at its outlet, since no stream is seen under the water: it should "
                "stand at the card's pressure"
            )
        return (
            f"Start the pump and {sign} within about {self._late():.0f} s. "
            "If it does not, stop the pump: it must not run dry. Bleed again, then look for a high "
            "point that holds air."
        )

    def _streams(self) -> Iterator[str]:
        """Where there are several discharges: the order to watch them in, and a dry one's cure."""
        outlets = self._outlets()
        if len(outlets) < 2:
            return
        names = [self.network.branches[index] or self.the(index) for index in outlets]
        yield (
            "The branch that takes the least head to start gives its stream first: "
            f"{'; '.join(reversed(names))}. If one stays dry, {self._wet(outlets)}"
            f"{self._told_short()}."
        )

    def _wet(self, outlets: list[int]) -> str:
        """What sends the water into a branch that stays dry."""
        valves = self._valves(outlets)
        without = [index for index in outlets if not valves[index]]
        if not without:
            return "shut the others' valves until its stream comes"
        if len(without) == len(outlets):
            pinch = "pinch the others' hoses shut"
        else:
            pinch = "shut the others' valves, and pinch the hoses that have none,"
        return f"{pinch} until its stream comes; where a hose is too stiff for that, fit a valve"

    def _valves(self, outlets: list[int]) -> dict[int, set[int]]:
        """The valves, for each discharge, that shut it off without shutting off another."""
        ways: dict[int, list[set[int]]] = {index: [] for index in outlets}
        for _, way in self.network.paths():
            if way[-1] in ways:
                ways[way[-1]].append(set(way) & set(self.after_pump))
        found = {index: set.intersection(*held) for index, held in ways.items()}
        for index, own in found.items():
            others = (way for other in outlets if other != index for way in ways[other])
            found[index] = own.difference(*others)
        return found

    def _told_short(self) -> str:
        """The branches that a finding says are hard to start."""
        hard = {f.at.branch for f in self.result.findings if f.code == "start-head-short"}
        short = [path.branch for path in self.result.air if path.branch and path.branch in hard]
        return f"; {listed(short)} may well, see the findings" if short else ""

    @property
    def _seen(self) -> bool:
        """Whether every stream that leaves the boat can be seen."""
        return open_discharges(self.network)

    def _outlets(self) -> list[int]:
        """Discharges that run, the one that needs the most head to start first."""
        needed: dict[int, float] = {}
        for (_, way), air in zip(self.network.paths(), self.result.air, strict=True):
            if self.result.point.flow_through(way[-1]) > 0:
                needed[way[-1]] = max(needed.get(way[-1], 0.0), air.start_head)
        return sorted(needed, key=lambda index: -needed[index])

    def _late(self) -> float:
        """Time [s] after which the stream is late: the slowest way's, in whole watch steps."""
        slowest = 0.0
        for _, way in self.network.paths():
            filling = 0.0
            for index in way:
                part = self.network.parts[index]
                flow = self.result.point.flow_through(index)
                if isinstance(part, Hose) and index > self.network.pump_index and flow > 0:
                    filling += math.pi / 4 * part.inner_bore**2 * part.length / flow
            slowest = max(slowest, filling)
        return max(_WATCH * math.ceil(_LATE * slowest / _WATCH), 2 * _WATCH)

    def _bleeds(self) -> Iterator[str]:
        for vent in self.vents:
            if not vent.useful:
                yield f"Leave {vent.name} shut: where it sits it lets no air out (see findings)."
            elif vent.height >= 0 and not vent.draws_air:
                yield (f"Pump running, slowly open {vent.name}; close it on water without bubbles.")

    def _finish(self) -> Iterator[str]:
        stream, flow = ("stream", "bucket time") if self._seen else ("gauge reading", "flow")
        yield (
            f"With a steady {stream}, take the {flow}, the gauges and the watts. Stop the pump "
            f"for a minute and start it again: the {stream} must come back by itself, without a "
            "bleed."
        )
        units = "unit" if len(self.result.condensers) == 1 else "units"
        yield (
            f"Switch the {units} on. After {_SETTLE} take "
            "the temperatures, look at every joint again for drips, and keep this card with "
            "the boat."
        )
