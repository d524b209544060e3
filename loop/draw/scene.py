"""What a figure shows: one checked job, its units, and the branch to follow."""

import math

from loop.air.air_paths import AirPath
from loop.check.result import CheckResult, CondenserResult
from loop.check.running_units import shortest_first
from loop.curve import Array
from loop.hydraulics import Network, OperatingPoint
from loop.job import Job, JobError
from loop.parts import Condenser
from loop.records import dataclass
from loop.units import System, convert, decimals, label, linear_shown, show, unitless
from loop.words.figures import SAY
from loop.words.guesses import guesses_sentence
from loop.words.numbers import TAPED, trimmed


def say(value: float, quantity: str, system: System, digits: int | None = None) -> str:
    """A number with its unit as in figures: two digits for a small flow, heights as by tape."""
    if quantity == "flow" and digits is None and math.isfinite(value) and value > 0:
        size = math.floor(math.log10(convert(value, quantity, system)))
        digits = max(decimals(quantity, system), 1 - size)
    shown = show(value, quantity, system, digits)
    return trimmed(shown) if quantity in TAPED and digits is None else shown


def scaled(values: Array, quantity: str, system: System) -> Array:
    """An array of SI values in the unit that `system` shows."""
    scale, zero = linear_shown(quantity, system)
    return zero + values * scale


def with_guesses(caption: str, job: Job) -> str:
    """A figure's caption, plus the sentence on values that nobody has measured."""
    return f"{caption} {guesses_sentence(job)}".rstrip()


@dataclass(frozen=True)
class Scene:
    """A job's result as figures need it; ``branch`` is "" to let the figure choose.

    ``before`` is the result of the loop as found, for figures that show what was changed.
    """

    result: CheckResult
    system: System
    branch: str = ""
    before: CheckResult | None = None

    @property
    def job(self) -> Job:
        """The job."""
        return self.result.job

    @property
    def point(self) -> OperatingPoint:
        """The job's operating point."""
        return self.result.point

    @property
    def network(self) -> Network:
        """The job's network of lines and joints."""
        return self.result.point.network

    @property
    def worst(self) -> CondenserResult:
        """The unit that is shortest of water."""
        return shortest_first(self.network, self.result.condensers)[0]

    def caption(self, text: str) -> str:
        """The text under the figure: this caption, plus what is guessed."""
        return with_guesses(text, self.job)

    def say(self, value: float, quantity: str, digits: int | None = None) -> str:
        """A number with its unit, in the figure's units."""
        return say(value, quantity, self.system, digits)

    def number(self, value: float, quantity: str) -> str:
        """A number without its unit."""
        return unitless(self.say(value, quantity), quantity, self.system)

    def unit(self, quantity: str) -> str:
        """The unit's name, as on an axis."""
        return label(quantity, self.system)

    def value(self, value: float, quantity: str) -> float:
        """An SI number as a number in the figure's unit."""
        return convert(value, quantity, self.system)

    def scaled(self, values: Array, quantity: str) -> Array:
        """An array of SI values in the figure's unit."""
        return scaled(values, quantity, self.system)

    def path(self) -> tuple[str, tuple[int, ...]]:
        """Name and parts of the path to follow: the branch asked for, else the worst unit's.

        Raises JobError if no path has the requested name.
        """
        ways = self.network.paths()
        if self.branch:
            for name, parts in ways:
                if self.branch in (name, *name.split(" / ")):
                    return name, parts
            known = ", ".join(name for name, _ in ways if name) or SAY("no-branch-at-all")
            branch = repr(self.branch)
            raise JobError([SAY("no-branch", job=self.job.title, branch=branch, branches=known)])
        served = self.network.condenser_part(self.worst.name)
        return next((name, parts) for name, parts in ways if served in parts)

    @property
    def air(self) -> AirPath:
        """Air on the path to follow."""
        _, parts = self.path()
        ways = self.network.paths()
        return next(
            air for (_, way), air in zip(ways, self.result.air, strict=True) if way == parts
        )

    def name(self, index: int) -> str:
        """The name of a part in all output: its own label, or its kind and number."""
        return self.network.labels[index]

    def serves(self, index: int) -> str:
        """The unit that a condenser serves, if there are several units; else ""."""
        part = self.network.parts[index]
        if isinstance(part, Condenser) and len(self.job.condenser) > 1:
            return part.serves
        return ""

    def subtitle(self, what: str) -> str:
        """The line under the headline: the job, and what the figure shows."""
        return f"{self.job.title}: {what}"
