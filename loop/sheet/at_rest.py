"""Steps before the pump first runs: what opens the line is done with the sea shut out."""

from collections.abc import Iterator

from loop.parts import Seacock, Strainer
from loop.parts.seacock import handle_angle
from loop.sheet.told import Told, capital, listed


class AtRest(Told):
    """Shut, fit, fill; then open to the sea, let the water rise, and set the valves."""

    def steps(self) -> Iterator[str]:
        """The steps, in their order."""
        yield self._off()
        yield from self._no_seacock()
        yield from self._fit()
        yield from self._strainers()
        yield from self._wet_the_pump()
        yield from self._let_water_in()
        yield from self._flooded()
        yield from self._bleeds()
        yield from self._valves()

    def _off(self) -> str:
        shut = f", {self._cocks()} shut" if self.before_pump else ""
        plug = ""
        if self.drowned:
            lowest = min(self.network.heights[index] for index in self.drowned)
            names = listed([self.the(index) for index in self.drowned])
            many = len(self.drowned) > 1
            plug = (
                f" Shut or plug {names} too, {'up to ' * many}"
                f"{self.level(lowest)}: the sea comes in there as well."
            )
        return (
            f"Pump and units off at the breaker{shut}.{plug} Look at every barb: two clamps, "
            "tight, and no hose kinked or flattened."
        )

    def _cocks(self) -> str:
        return listed([self.the(index) for index in self.before_pump])

    def _no_seacock(self) -> Iterator[str]:
        if not self.before_pump:
            yield (
                "No seacock is listed before the pump: fit one, or take these steps ashore with "
                "the intake plugged."
            )

    @property
    def _shut_out(self) -> str:
        """How the sea is kept out, for the start of a sentence."""
        if not self.before_pump:
            return "The intake plugged"
        return f"{capital(self._cocks())} still shut"

    def _fit(self) -> Iterator[str]:
        proposed = [vent.name for vent in self.vents if vent.proposed]
        if proposed:
            yield f"{self._shut_out}, first fit {'; and '.join(proposed)}."

    def _strainers(self) -> Iterator[str]:
        for index, part in enumerate(self.network.parts):
            if not isinstance(part, Strainer):
                continue
            height = self.network.heights[index]
            why = (
                f"it stands {self.level(height)} and does not fill itself"
                if height >= 0
                else f"it lies {self.level(height)}, so never open it to the sea"
            )
            yield (
                f"{self._shut_out}, fill {self.the(index)} with water by hand to the brim and "
                f"close its lid tight: {why}."
            )

    def _wet_the_pump(self) -> Iterator[str]:
        height = self.network.heights[self.network.pump_index]
        if height < 0:
            return
        if self.network.pump.curve.self_priming:
            yield (
                f"Fill the pump's chamber with water: it stands {self.level(height)}, and primes "
                "itself only when wet."
            )
        else:
            yield (
                f"The pump stands {self.level(height)} and does not prime itself: do not start it "
                "before that is fixed (see the findings)."
            )

    def _let_water_in(self) -> Iterator[str]:
        for index in self.before_pump:
            part = self.network.parts[index]
            turned = isinstance(part, Seacock) and not part.shut and handle_angle(part.open) > 0
            how = "slowly, all the way, a hand on it"
            if isinstance(part, Seacock) and turned:
                how = (
                    f"slowly, to {handle_angle(part.open):.0f}° from open, as the card's readings "
                    "expect, a hand on it"
                )
            yield (
                f"Open {self.the(index)} {how}. Look for drips at "
                "every joint below the waterline; close it again if there is one."
            )
        if self.drowned:
            yield f"Open {listed([self.the(index) for index in self.drowned])} again."

    def _flooded(self) -> Iterator[str]:
        height = self.network.heights[self.network.pump_index]
        if height < 0:
            yield f"Wait a minute: the pump lies {self.level(height)} and fills itself."

    def _bleeds(self) -> Iterator[str]:
        for vent in self.vents:
            if vent.height < 0 and vent.useful:
                yield (
                    f"Pump still off, open {vent.name}: below the water, the sea drives the air "
                    "out. Close it on a steady run of water."
                )

    def _valves(self) -> Iterator[str]:
        for index in self.after_pump:
            part = self.network.parts[index]
            if part.shut:
                yield f"Leave {self.the(index)} shut, as in the job."
            elif isinstance(part, Seacock) and handle_angle(part.open) > 0:
                yield f"Set {self.the(index)} {handle_angle(part.open):.0f}° from open."
            else:
                yield f"Open {self.the(index)} all the way."
