"""Steps from the first start of the pump to the card's readings."""

import math
from collections.abc import Iterator

from loop.parts import Hose
from loop.sheet.asked import valves_to_start
from loop.sheet.card import open_discharges
from loop.sheet.told import Told
from loop.words.said import start_order
from loop.words.speaker import branch_called, the_branch
from loop.words.template import listed

# Common practice: a stream is late if it has not arrived in twice the hose's filling time, and
# nobody reads a watch closer than five seconds.
_LATE, _WATCH = 2.0, 5.0
# Common practice: let a unit run this long before reading its temperatures.
_SETTLE = 10  # minutes


class Running(Told):
    """Start, watch for the streams, bleed, read."""

    def steps(self) -> Iterator[str]:
        """The steps, in order."""
        if not self.result.point.flow > 0:
            yield self.say("run-not")
            return
        yield from self._held_back()
        yield from self._opened_first()
        yield self._start()
        yield from self._streams()
        yield from self._bleeds()
        yield from self._finish()

    def _held_back(self) -> Iterator[str]:
        """Branches that prime only while others are held back."""
        for finding in self.result.findings:
            if finding.code == "start-head-short" and finding.values.get("case") == "beside":
                order = start_order(finding, self.result.job)
                branch = the_branch(finding.at.branch or "")
                yield self.say("run-held-back", branch=branch, order=order)

    def _opened_first(self) -> Iterator[str]:
        """Bleeds above the waterline that would draw air once the stream runs."""
        for vent in self.vents:
            if vent.useful and not vent.drains and vent.draws_air and vent.height >= 0:
                yield self.say("run-bleed-first", bleed=vent.name)

    def _start(self) -> str:
        sign = "run-discharge" if len(self._outlets()) == 1 else "run-discharges"
        sign = self.phrase(sign if self._seen else "run-gauge")
        return self.say("run-start", sign=sign, late=self._late())

    def _streams(self) -> Iterator[str]:
        """With several discharges: the order to watch them in, and the fix for a dry one."""
        outlets = self._outlets()
        if len(outlets) < 2:
            return
        branches = self.network.branches
        names = [branch_called(branches[index]) or self.the(index) for index in outlets]
        yield self.say(
            "run-streams",
            branches="; ".join(reversed(names)),
            wet=self._wet(outlets),
            short=self._said_short(),
        )

    def _wet(self, outlets: list[int]) -> str:
        """How to send water into a branch that stays dry."""
        valves = self._valves(outlets)
        fitted = {valve.branch for valve in valves_to_start(self.result)}
        without = [
            index
            for index in outlets
            if not valves[index] and self.network.branches[index] not in fitted
        ]
        if not without:
            return self.phrase("run-wet-valves")
        return self.phrase("run-wet-hoses" if len(without) == len(outlets) else "run-wet-both")

    def _valves(self, outlets: list[int]) -> dict[int, set[int]]:
        """For each discharge, the valves that shut it off without shutting off another."""
        ways: dict[int, list[set[int]]] = {index: [] for index in outlets}
        for _, way in self.network.paths():
            if way[-1] in ways:
                ways[way[-1]].append(set(way) & set(self.after_pump))
        found = {index: set.intersection(*held) for index, held in ways.items()}
        for index, own in found.items():
            others = (way for other in outlets if other != index for way in ways[other])
            found[index] = own.difference(*others)
        return found

    def _said_short(self) -> str | None:
        """The branches with a finding that they are hard to start."""
        hard = {f.at.branch for f in self.result.findings if f.code == "start-head-short"}
        short = [path.branch for path in self.result.air if path.branch and path.branch in hard]
        return listed([branch_called(one) for one in short]) if short else None

    @property
    def _seen(self) -> bool:
        """Whether every discharge stream can be seen."""
        return open_discharges(self.network)

    def _outlets(self) -> list[int]:
        """Discharges with flow, the one that needs the most head to start first."""
        needed: dict[int, float] = {}
        for (_, way), air in zip(self.network.paths(), self.result.air, strict=True):
            if self.result.point.flow_through(way[-1]) > 0:
                needed[way[-1]] = max(needed.get(way[-1], 0.0), air.start_head)
        return sorted(needed, key=lambda index: -needed[index])

    def _late(self) -> float:
        """Time [s] after which the stream is late: slowest path, rounded up to watch steps."""
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
                yield self.say("run-bleed-useless", bleed=vent.name)
            elif vent.drains:
                yield self.say("run-bleed-by-hand", bleed=vent.name)
            elif vent.height >= 0 and not vent.draws_air:
                yield self.say("run-bleed", bleed=vent.name)

    def _finish(self) -> Iterator[str]:
        yield self.say("run-read" if self._seen else "run-read-gauge")
        units = "run-unit" if len(self.result.condensers) == 1 else "run-units"
        yield self.say(units, minutes=_SETTLE)
