"""What the steps of a start-up share: the loop, its bleeds, and how its parts are called."""

from collections.abc import Iterator

from loop.check import CheckResult
from loop.parts import Discharge, Seacock
from loop.sheet.vents import Vent, called
from loop.units import show


class Told:
    """A loop of which steps are told; `vents` are the bleeds along the way."""

    def __init__(self, result: CheckResult, vents: tuple[Vent, ...]) -> None:
        self.result = result
        self.network = result.point.network
        self.vents = vents

    @property
    def before_pump(self) -> list[int]:
        """The seacocks between the sea and the pump."""
        return [index for index in self._seacocks() if index < self.network.pump_index]

    @property
    def after_pump(self) -> list[int]:
        """The valves on the pressure side."""
        return [index for index in self._seacocks() if index > self.network.pump_index]

    @property
    def drowned(self) -> list[int]:
        """The discharges under the water, where the sea comes in as well."""
        parts = enumerate(self.network.parts)
        return [i for i, p in parts if isinstance(p, Discharge) and self.network.heights[i] < 0]

    def the(self, index: int) -> str:
        """A part as it is called, with its article, and its branch in brackets."""
        branch = self.network.branches[index]
        return called(self.network.labels[index]) + (f" ({branch})" if branch else "")

    def say(self, value: float, quantity: str) -> str:
        """A number with its unit, in the job's system."""
        return show(value, quantity, self.result.job.units)

    def level(self, height: float) -> str:
        """A height [m] over the waterline in words."""
        return f"{self.say(abs(height), 'height')} {'above' if height >= 0 else 'below'} the water"

    def _seacocks(self) -> Iterator[int]:
        for index, part in enumerate(self.network.parts):
            if isinstance(part, Seacock):
                yield index


def listed(names: list[str]) -> str:
    """Names in a row: a, b and c.

    >>> listed(["fore", "aft"])
    'fore and aft'
    """
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last


def capital(text: str) -> str:
    """A text that begins a sentence."""
    return text[:1].upper() + text[1:]
