"""Why a fault is named, why others cannot be told from it, and when nothing fits."""

from functools import cached_property

import numpy as np

from loop.curve import Array
from loop.diagnose.bayes import expected, posterior
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.instruments import Column
from loop.diagnose.measured import Measured
from loop.diagnose.reading_kinds import TWO_SIGMA
from loop.diagnose.readings import Readings
from loop.diagnose.result import Value
from loop.diagnose.shown import named, shown
from loop.diagnose.study import Study
from loop.words.diagnosis import SAY
from loop.words.faults import look, title

# Standard normal at one in a thousand: readings further out than that are explained by no fault.
ODD = 3.09
# How many faults of a group a sentence lists.
LISTED = 4


class Reasons:
    """One call: its study, readings and posterior, and what can be said of them."""

    def __init__(self, study: Study, readings: Readings) -> None:
        self.study, self.readings = study, readings
        self.bench = study.bench
        self.system = self.bench.job.units
        self.posterior = posterior(study, readings)
        self.expected = expected(study, readings)

    @cached_property
    def well(self) -> Array:
        """Weights of the rows of which all is the healthy loop's, (h,)."""
        return np.asarray(np.arange(len(self.expected)) == self.study.healthy, dtype=float)

    def likeliest(self, column: Column, weight: Array) -> str:
        """The word that a reading in words would most likely give, hypotheses so weighed."""
        chance = weight @ self.study.words[column.key]
        return column.kind.choices[int(np.argmax(chance))]

    def why(self, name: str, predicted: dict[str, Value]) -> str:
        """The readings that speak most for this fault against a healthy loop, or against it."""
        healthy = self.expected[self.study.healthy]
        found = []
        for key, one in self.readings.numbers.items():
            if key in self.bench.at:
                number = self.bench.at[key]
                sigma = self._sigma(key, one)
                off = abs(one.value - healthy[number]) / sigma
                left = abs(one.value - float(predicted[key])) / sigma
                found.append((off - left, key))
        said = [
            SAY(
                "why-number",
                read=shown(key, self.readings.numbers[key].value, self.system),
                healthy=shown(key, float(healthy[self.bench.at[key]]), self.system),
                fault=shown(key, predicted[key], self.system),
                reading=named(key),
            )
            for gain, key in sorted(found, reverse=True)[:2]
            if gain > 1 and name != "healthy"
        ]
        said += [
            SAY("why-word", reading=named(key), word=word)
            for key, word in self.readings.words.items()
            if self._meant(key, predicted.get(key)) and name != "healthy" and self._telling(key)
        ]
        if said:
            return "; ".join(said)
        if name == "healthy":
            return SAY("why-healthy-misfit" if self.misfit() else "why-healthy")
        if not self.readings.keys:
            return SAY("why-nothing-read")
        return SAY("why-misfit" if self.misfit() else "why-not-against")

    def _telling(self, key: str) -> bool:
        column = next((c for c in self.bench.words if c.key == key), None)
        if column is None:
            return False
        return self.likeliest(column, self.well) not in column.kind.meant(self.readings.words[key])

    def _meant(self, key: str, word: Value | None) -> bool:
        column = next((c for c in self.bench.words if c.key == key), None)
        return column is not None and word in column.kind.meant(self.readings.words[key])

    def _sigma(self, key: str, one: Measured) -> float:
        """Standard deviation of a reading about the healthy prediction: doubt and instrument."""
        number = self.bench.at[key]
        healthy = self.study.healthy
        own = one.half_width / TWO_SIGMA
        variance = (self.study.factor[healthy, number] ** 2).sum() + self.study.noise[
            healthy, number
        ]
        if self.study.scale[number] > 0:  # of a logarithm
            variance = variance * (self.expected[healthy, number] ** 2)
        return float(np.sqrt(variance + own**2))

    def sentence(self, group: tuple[int, ...], split: str) -> str:
        """What is said of faults that the readings cannot tell apart, and what would split them."""
        names = list(dict.fromkeys(title(self.study.instances[i].name) for i in group))
        if self.readings.empty:
            return SAY("group-nothing-read")
        if len(names) == 1:
            return SAY("group-single", name=names[0])
        if len(names) > LISTED:
            names = [*names[:LISTED], SAY("group-more", count=len(names) - LISTED)]
        *most, last = names
        these = {"most": ", ".join(most), "last": last}
        if split:
            return SAY("group-split", step=named(split), **these)
        looks = dict.fromkeys(
            look(self.study.instances[i].name, self.bench.bleed) for i in group[:2]
        )
        return SAY("group-look", looks="; or ".join(looks), **these)

    def title(self, group: tuple[int, ...]) -> str:
        """What such a group is called: any of its faults, by their titles."""
        names = list(dict.fromkeys(title(self.study.instances[i].name) for i in group))
        if len(names) > LISTED:
            names = [*names[:LISTED], SAY("group-any-more")]
        *most, last = names
        return SAY("group-any", most=", ".join(most) or None, last=last)

    def misfit(self) -> str:
        """A warning where no fault explains the readings; "" where one does."""
        distance, count = self.posterior.surprise
        if count == 0:
            return ""
        # Wilson & Hilferty (1931): the chi-squared quantile through a cube of a normal.
        width = 2.0 / (9.0 * count)
        if distance <= count * (1 - width + ODD * np.sqrt(width)) ** 3:
            return ""
        worst = self.fits_worst()
        return SAY("misfit-warning", reading=named(worst) if worst else None)

    def fits_worst(self) -> str:
        """Key of the number that lies farthest from what the likeliest fault in the list has it.

        Of those read since the last thing done, in standard deviations; "" where there is none.
        """
        belief = self.posterior.belief
        owner = self.study.owner[self.study.blamed(belief.origin, belief.now)]
        known = np.array([one.name != UNKNOWN for one in self.study.instances])[owner]
        likeliest = int(np.argmax(np.where(known, belief.weight, -1.0)))
        values = self.expected[belief.now[likeliest]]
        numbers = self.readings.latest.numbers
        return max(
            (key for key in numbers if key in self.bench.at),
            key=lambda k: (
                abs(numbers[k].value - values[self.bench.at[k]]) / self._sigma(k, numbers[k])
            ),
            default="",
        )
