"""Steps before the pump first runs; the line is opened only with the sea shut out."""

from collections.abc import Iterator

from loop.parts import Seacock, Strainer
from loop.parts.seacock import handle_angle
from loop.sheet.asked import valves_to_start
from loop.sheet.told import Told
from loop.words.action_words import action_text
from loop.words.actions import together
from loop.words.speaker import Speaker
from loop.words.template import capital, listed


class AtRest(Told):
    """Shut, fit, fill; then open to the sea, let the water rise, and set the valves."""

    def steps(self) -> Iterator[str]:
        """The steps, in order."""
        yield self._off()
        yield from self._no_seacock()
        yield from self._fit_valves()
        yield from self._strainers()
        yield from self._wet_the_pump()
        yield from self._let_water_in()
        yield from self._flooded()
        yield from self._bleeds()
        yield from self._valves()

    def _off(self) -> str:
        drowned = level = None
        if self.drowned:
            lowest = self.level(min(self.network.heights[index] for index in self.drowned))
            drowned = listed([self.the(index) for index in self.drowned])
            level = self.phrase("rest-up-to", level=lowest) if len(self.drowned) > 1 else lowest
        cocks = self._cocks() if self.before_pump else None
        washed = listed([self.the(index) for index in self.washed]) if self.washed else None
        return self.say("rest-off", seacocks=cocks, drowned=drowned, level=level, washed=washed)

    def _cocks(self) -> str:
        return listed([self.the(index) for index in self.before_pump])

    def _no_seacock(self) -> Iterator[str]:
        if not self.before_pump:
            yield self.say("rest-no-seacock")

    @property
    def _shut_out(self) -> str:
        """How the sea is kept out."""
        if not self.before_pump:
            return self.phrase("rest-plugged")
        return self.phrase("rest-shut", seacocks=self._cocks())

    def _fit_valves(self) -> Iterator[str]:
        """Valves that hold branches back, fitted while the sea is still shut out."""
        valves = valves_to_start(self.result)
        if valves:
            fit = action_text(together(valves), Speaker(self.result.job))
            yield self.say("rest-fit-valves", fit=fit)

    def _strainers(self) -> Iterator[str]:
        for index, part in enumerate(self.network.parts):
            if not isinstance(part, Strainer):
                continue
            height, sea = self.network.heights[index], capital(self._shut_out)
            row = "rest-strainer" if height >= 0 else "rest-strainer-below"
            yield self.say(row, sea=sea, strainer=self.the(index), level=self.level(height))

    def _wet_the_pump(self) -> Iterator[str]:
        height = self.network.heights[self.network.pump_index]
        if height >= 0:
            primes = self.network.pump.curve.self_priming
            row = "rest-wet-pump" if primes else "rest-dry-pump"
            yield self.say(row, level=self.level(height))

    def _let_water_in(self) -> Iterator[str]:
        for index in self.before_pump:
            part = self.network.parts[index]
            if isinstance(part, Seacock) and not part.shut and handle_angle(part.open) > 0:
                angle = handle_angle(part.open)
                yield self.say("rest-open-to", seacock=self.the(index), angle=angle)
            else:
                yield self.say("rest-open", seacock=self.the(index))
        outlets = [*self.drowned, *self.washed]
        if outlets:
            yield self.say("rest-open-again", outlets=listed([self.the(one) for one in outlets]))

    def _flooded(self) -> Iterator[str]:
        height = self.network.heights[self.network.pump_index]
        if height < 0:
            yield self.say("rest-flooded", level=self.level(height))

    def _bleeds(self) -> Iterator[str]:
        for vent in self.vents:
            if vent.height < 0 and vent.useful:
                yield self.say("rest-bleed", bleed=vent.name)

    def _valves(self) -> Iterator[str]:
        for index in self.after_pump:
            part, valve = self.network.parts[index], self.the(index)
            if part.shut:
                yield self.say("rest-leave-shut", valve=valve)
            elif isinstance(part, Seacock) and handle_angle(part.open) > 0:
                yield self.say("rest-set", valve=valve, angle=handle_angle(part.open))
            else:
                yield self.say("rest-all-open", valve=valve)
