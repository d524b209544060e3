"""Why a cause is named, why others cannot be separated from it, and whether anything fits."""

import numpy as np

from loop.curve import Array, IntArray
from loop.diagnose.bayes import expected_readings, posterior
from loop.diagnose.contradiction import contradiction, pair_text
from loop.diagnose.contradiction_laws import FAR, FLOW, reason
from loop.diagnose.display import any_of, display_name, reading_text
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.groups import LISTED, all_well
from loop.diagnose.measured import Measured
from loop.diagnose.reading_kinds import TWO_SIGMA, UNDER_WAY
from loop.diagnose.readings import Readings, ReadingSet, StepDone
from loop.diagnose.result import Value
from loop.diagnose.study import Study
from loop.diagnose.valid_readings import current_readings
from loop.words.diagnosis import SAY
from loop.words.faults import look, title
from loop.words.to_do import doing

# A group is singled out from this probability.
SINGLED = 0.7
# A word that a healthy loop gives less often than this is not usual: engineering estimate.
USUAL = 0.2


class Reasons:
    """One call: its study, readings and posterior, and explanations from them."""

    def __init__(self, study: Study, readings: Readings) -> None:
        self.study, self.readings = study, readings
        self.instruments = study.instruments
        self.system = self.instruments.job.units
        self.posterior = posterior(study, readings)
        self.expected = expected_readings(study, readings)
        self.holding = current_readings(self.posterior, readings)
        self.contradiction = contradiction(study, self.holding)

    def values(self, study: Study, rows: IntArray, weight: Array) -> dict[str, Value]:
        """Expected readings by key over weighted rows: means of numbers, likeliest words."""
        known = self.expected if study is self.study else expected_readings(study, self.readings)
        row = weight @ known[rows]
        found: dict[str, Value] = {
            c.key: float(row[i]) for i, c in enumerate(self.instruments.columns)
        }
        for column in self.instruments.words:
            chance = weight @ study.words[column.key][rows]
            found[column.key] = column.kind.choices[int(np.argmax(chance))]
        return found

    def healthy(self, study: Study) -> dict[str, Value]:
        """Readings of a healthy loop on this day."""
        return self.values(study, np.array([study.healthy]), np.ones(1))

    def why(self, cause: int, rows: IntArray, weight: Array, beside: int | None) -> str:
        """The readings that favor this cause most over a healthy loop, or why there are none.

        ``rows`` with ``weight`` are the hypotheses that represent it; ``beside`` is the other fault
        in them.
        """
        name, said = self.study.instances[cause].name, []
        if name != "healthy":
            said = self._favoring(cause, rows, weight)
        if said and beside is not None:
            other = title(self.study.instances[beside].name)
            return SAY("why-beside", other=other, said="; ".join(said))
        if said:
            return "; ".join(said)
        if name == "healthy" and self.misfit():
            return SAY("why-healthy-misfit")
        if not any(one.everywhere for one in (self.readings, *self.readings.steps)):
            return SAY("why-nothing-read")
        if name == "healthy":
            leads = self.posterior.ranked()[0] == cause
            against = "why-healthy-leads" if leads else "why-healthy-against"
            return SAY("why-healthy" if self.well() else against)
        return SAY("why-misfit" if self.misfit() else "why-not-against")

    def _favoring(self, cause: int, rows: IntArray, weight: Array) -> list[str]:
        """Readings that favor a fault, each key as last read while the fault was there."""
        found: dict[str, str] = {}
        for number, taken in enumerate((self.readings, *self.readings.steps)):
            if number and self.posterior.cured_by(cause, number):
                break
            now = self._favoring_in_state(self.study, taken, rows, weight)
            if taken.at_speed.keys:
                more = self._favoring_in_state(self.study.under_way, taken.at_speed, rows, weight)
                now |= {UNDER_WAY + k: SAY("why-under-way", said=one) for k, one in more.items()}
            if isinstance(taken, StepDone):
                done = doing(taken.did, self.instruments.parts_present).title
                now = {k: SAY("why-after", done=done, said=one) for k, one in now.items()}
            found = {k: one for k, one in found.items() if k not in now} | now
        return list(found.values())

    def _favoring_in_state(
        self, study: Study, taken: ReadingSet, rows: IntArray, weight: Array
    ) -> dict[str, str]:
        """Readings in one state of the boat that favor a fault over a healthy loop, by key."""
        healthy, predicted = self.healthy(study), self.values(study, rows, weight)
        found = []
        for key, one in taken.numbers.items():
            if key in self.instruments.column_of:
                sigma = self._sigma(study, key, one, float(healthy[key]))
                off = abs(one.value - float(healthy[key])) / sigma
                left = abs(one.value - float(predicted[key])) / sigma
                found.append((off - left, key))
        numbers = {
            key: SAY(
                "why-number",
                read=reading_text(key, taken.numbers[key].value, self.system),
                healthy=reading_text(key, healthy[key], self.system),
                fault=reading_text(key, predicted[key], self.system),
                reading=display_name(key),
            )
            for gain, key in sorted(found, reverse=True)[:2]
            if gain > 1
        }
        return numbers | {
            column.key: SAY(
                "why-word", reading=display_name(column.key), word=taken.words[column.key]
            )
            for column in sorted(
                self.instruments.words, key=lambda c: [*taken.words, c.key].index(c.key)
            )
            if column.key in taken.words
            and predicted[column.key] in column.kind.meant(taken.words[column.key])
            and healthy[column.key] not in column.kind.meant(taken.words[column.key])
        }

    def _sigma(self, study: Study, key: str, one: Measured, healthy: float) -> float:
        """Standard deviation of a reading about the healthy prediction: model and instrument."""
        number, row = self.instruments.column_of[key], study.healthy
        own = one.half_width / TWO_SIGMA
        variance = (study.factor[row, number] ** 2).sum() + study.noise[row, number]
        if study.scale[number] > 0:  # of a logarithm
            variance = variance * healthy**2
        return float(np.sqrt(variance + own**2))

    def sentence(self, group: tuple[int, ...], split: str, first: str) -> str:
        """What is said of faults that the readings cannot separate, and what would separate them.

        Names no step other than the `first` of all, "" for none: there is one thing to do next.
        """
        names = list(dict.fromkeys(title(self.study.instances[i].name) for i in group))
        if self.readings.empty:
            return SAY("group-nothing-read")
        if len(names) == 1:
            sure = self.posterior.any_of(group) >= SINGLED
            return SAY("group-single" if sure else "group-likeliest", name=names[0])
        if len(names) > LISTED:
            names = [*names[:LISTED], SAY("group-more", count=len(names) - LISTED)]
        *most, last = names
        these = {"most": ", ".join(most), "last": last}
        if split or first:
            step = self._asked(split) if split == first or not first else None
            return SAY("group-split", step=step, **these)
        looks = dict.fromkeys(
            look(self.study.instances[i].name, self.instruments.parts_present) for i in group[:2]
        )
        return SAY("group-look", looks="; or ".join(looks), **these)

    def _asked(self, key: str) -> str:
        """A step as a thing to do."""
        columns = {
            column.key: column for column in (*self.instruments.columns, *self.instruments.words)
        }
        if self.instruments.at_speed is not None:
            columns[self.instruments.at_speed.key] = self.instruments.at_speed
        return (
            columns[key].ask if key in columns else doing(key, self.instruments.parts_present).title
        )

    def title(self, group: tuple[int, ...]) -> str:
        """Name of a group: any of its faults, by their titles."""
        names = list(dict.fromkeys(title(self.study.instances[i].name) for i in group))
        if len(names) > LISTED:
            names = [*names[:LISTED], SAY("group-any-more")]
        return any_of(names)

    def well(self) -> bool:
        """Whether something was read, and it favors no fault over a healthy loop."""
        read = (self.readings, *self.readings.steps)
        known = any(one.everywhere for one in read) and not self.misfit()
        return known and self._all_usual() and all_well(self.posterior, self.readings.said)

    def water_is_right(self) -> bool:
        """Whether flow was measured and all but the units' cooling is normal: no water fault."""
        states = (self.readings, *self.readings.steps)
        measured = any(key.partition(".")[0] == FLOW for one in states for key in one.numbers)
        return measured and self._all_usual(but="unit")

    def _all_usual(self, but: str = "") -> bool:
        """Whether every reading, words of the kind `but` aside, is usual for a healthy loop."""
        states = (self.readings, *self.readings.steps)
        taken = [(self.study, one) for one in states]
        taken += [(self.study.under_way, one.at_speed) for one in states if one.at_speed.keys]
        return all(self.usual(study, one.without(but)) for study, one in taken)

    def usual(self, study: Study, taken: ReadingSet) -> bool:
        """Whether all readings in one state are usual for a healthy loop.

        A flow below the need is not, however uncertain the loop, unless the loop as built falls
        short too; more flow than in a healthy loop is no trouble.
        """
        healthy = self.healthy(study)
        for key, one in taken.numbers.items():
            if key in self.instruments.column_of:
                well, need = float(healthy[key]), self.instruments.need.get(key, 0.0)
                off = well - one.value
                off = off if key in self.instruments.need else abs(off)
                short = one.value < need <= well
                if short or off > TWO_SIGMA * self._sigma(study, key, one, well):
                    return False
        for column in self.instruments.words:
            if column.key in taken.words:
                meant = column.kind.meant(taken.words[column.key])
                chances = study.words[column.key][study.healthy]
                pairs = zip(column.kind.choices, chances, strict=True)
                if sum(float(chance) for choice, chance in pairs if choice in meant) < USUAL:
                    return False
        return True

    def misfit(self) -> str:
        """A warning where no fault explains the readings; "" where one does."""
        if self.contradiction:
            because = reason(self.study, self.holding, self.contradiction)
            return SAY(
                "misfit-pair",
                because=SAY(because) if because else None,
                **pair_text(self.contradiction, self.readings, self.system),
            )
        distance, count = self.posterior.surprise
        if count == 0:
            return ""
        # Wilson & Hilferty (1931): the chi-squared quantile through a cube of a normal.
        width = 2.0 / (9.0 * count)
        if distance <= count * (1 - width + FAR * np.sqrt(width)) ** 3:
            return ""
        worst = self.fits_worst()
        return SAY("misfit-warning", reading=display_name(worst) if worst else None)

    def fits_worst(self) -> str:
        """Key of the number that lies farthest from the prediction of the likeliest listed fault.

        Of those read since the last step, in standard deviations; "" where there is none.
        """
        belief = self.posterior.belief
        owner = self.study.owner[self.study.blamed(belief.origin, belief.now)]
        known = np.array([one.name != UNKNOWN for one in self.study.instances])[owner]
        likeliest = int(np.argmax(np.where(known, belief.weight, -1.0)))
        values = self.expected[belief.now[likeliest]]
        numbers, well = self.readings.latest.numbers, self.healthy(self.study)
        return max(
            (key for key in numbers if key in self.instruments.column_of),
            key=lambda k: (
                abs(numbers[k].value - values[self.instruments.column_of[k]])
                / self._sigma(self.study, k, numbers[k], float(well[k]))
            ),
            default="",
        )
