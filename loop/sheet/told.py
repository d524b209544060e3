"""What the steps of a start-up share: the loop, its bleeds, and how its parts are called."""

from collections.abc import Iterator

from loop.check import CheckResult
from loop.parts import Discharge, Seacock
from loop.sheet.vents import Vent
from loop.words.job_sheet import SAY
from loop.words.speaker import Speaker, called
from loop.words.template import Value, capital


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

    @property
    def washed(self) -> list[int]:
        """The other discharges that heel, trim, waves or people aboard may put under it."""
        speaker = Speaker(self.result.job)
        return [
            index
            for index, (at, item) in enumerate(speaker.parts.items())
            if isinstance(item.part, Discharge)
            and index not in self.drowned
            and speaker.may_flood(at, together=False)
        ]

    def the(self, index: int) -> str:
        """A part as it is called, with its article, and its branch in brackets."""
        branch = self.network.branches[index]
        return called(self.network.labels[index]) + (f" ({branch})" if branch else "")

    def say(self, row: str, **values: Value | None) -> str:
        """A row of the words as a sentence, in the job's system of units."""
        return capital(SAY(row, self.result.job.units, **values))

    def phrase(self, row: str, **values: Value | None) -> str:
        """The same as a part of a sentence."""
        return SAY(row, self.result.job.units, **values)

    def level(self, height: float) -> str:
        """A height [m] over the waterline in words."""
        return Speaker(self.result.job).about_level(height)

    def _seacocks(self) -> Iterator[int]:
        for index, part in enumerate(self.network.parts):
            if isinstance(part, Seacock):
                yield index
