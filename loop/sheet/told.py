"""What the start-up steps share: the loop, its bleeds, and the names of its parts."""

from collections.abc import Iterator

from loop.check import CheckResult
from loop.parts import Discharge, Seacock
from loop.sheet.vents import Vent
from loop.words.job_sheet import SAY
from loop.words.speaker import Speaker, called
from loop.words.template import Value, capital


class Told:
    """A loop to write steps for; `vents` are its bleeds."""

    def __init__(self, result: CheckResult, vents: tuple[Vent, ...]) -> None:
        self.result = result
        self.network = result.point.network
        self.vents = vents

    @property
    def before_pump(self) -> list[int]:
        """Seacocks on the suction side."""
        return [index for index in self._seacocks() if index < self.network.pump_index]

    @property
    def after_pump(self) -> list[int]:
        """Valves on the pressure side."""
        return [index for index in self._seacocks() if index > self.network.pump_index]

    @property
    def drowned(self) -> list[int]:
        """Discharges below the waterline, where the sea can come in."""
        parts = enumerate(self.network.parts)
        return [i for i, p in parts if isinstance(p, Discharge) and self.network.heights[i] < 0]

    @property
    def washed(self) -> list[int]:
        """Other discharges that heel, trim, waves or people aboard may put under water."""
        speaker = Speaker(self.result.job)
        return [
            index
            for index, (at, item) in enumerate(speaker.parts.items())
            if isinstance(item.part, Discharge)
            and index not in self.drowned
            and speaker.may_flood(at, together=False)
        ]

    def the(self, index: int) -> str:
        """A part's name with its article, and its branch in parentheses."""
        branch = self.network.branches[index]
        return called(self.network.labels[index]) + (f" ({branch})" if branch else "")

    def say(self, row: str, **values: Value | None) -> str:
        """A text row as a sentence, in the job's units."""
        return capital(SAY(row, self.result.job.units, **values))

    def phrase(self, row: str, **values: Value | None) -> str:
        """A text row as a phrase, in the job's units."""
        return SAY(row, self.result.job.units, **values)

    def level(self, height: float) -> str:
        """A height [m] above the waterline, as text."""
        return Speaker(self.result.job).about_level(height)

    def _seacocks(self) -> Iterator[int]:
        for index, part in enumerate(self.network.parts):
            if isinstance(part, Seacock):
                yield index
