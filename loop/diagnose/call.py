"""One service call: readings in, ranked faults and the next reading out."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.diagnose import action_chances, actions
from loop.diagnose.as_built import as_built
from loop.diagnose.bayes import SAME
from loop.diagnose.belief import predicted
from loop.diagnose.ends import end, to_show
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.gain import Gain
from loop.diagnose.groups import EVEN, NEGLIGIBLE, grouped, lines, splitting
from loop.diagnose.headline import fits_none, headline
from loop.diagnose.hypotheses import Study, prepare
from loop.diagnose.left_there import mend
from loop.diagnose.never_together import SOUND
from loop.diagnose.next_reading import gains
from loop.diagnose.once_fixed import once_fixed
from loop.diagnose.parse import parse_readings
from loop.diagnose.put_right import RESET, PutRight, credited, locked_out, put_right, still_wrong
from loop.diagnose.readings import Readings
from loop.diagnose.reasons import Reasons
from loop.diagnose.result import Cause, Diagnosis, Group, Line, NextReading, Tried, Value
from loop.diagnose.shown import named
from loop.diagnose.standing import standing
from loop.diagnose.step_order import harmless, lead_of, waits_first
from loop.distinct import distinct
from loop.job import Job
from loop.words import faults as words
from loop.words.diagnosis import SAY
from loop.words.had import Has
from loop.words.to_do import doing, with_hazard

# Edges of a 90 % band.
BAND = (0.05, 0.95)
LEADING = 4
# As many causes are named, however unlikely.
_FEWEST = 3
# Rows of the belief that together weigh less are left out of what is expected.
LIGHT = 1e-6


def diagnose(
    job: Job, readings: Readings | Mapping[str, object], study: Study | None = None
) -> Diagnosis:
    """Ranked faults, the groups that the readings cannot split, and the readings to take next.

    Parameters
    ----------
    job : Job
        The loop as it should be, with its baseline where one was taken.
    readings : Readings, or a mapping of text or quantities
        What was read: a file's, of `loop.read_readings`, or by key, as
        ``{"flow": "150 gal/h"}``; may be empty, which gives the priors and where to begin.
    study : Study, optional
        From `loop.diagnose.prepare`, where several sets of readings of one job are judged.

    Returns
    -------
    Diagnosis

    Raises
    ------
    JobError
        Readings, or priors, that this program does not know.
    """
    if not isinstance(readings, Readings):
        readings = parse_readings(readings, job)
    study = study or prepare(job, readings.prior)
    return _Call(study, readings).answer()


class _Call(Reasons):
    """The parts of one answer, from one posterior."""

    def __init__(self, study: Study, readings: Readings) -> None:
        super().__init__(study, readings)
        unknown = [one.name == UNKNOWN for one in study.instances]
        self.unknown = float(self.posterior.probability[unknown].sum())
        self.order = [
            instance
            for place, instance in enumerate(self.posterior.ranked())
            if place < _FEWEST or self.posterior.present(instance) >= NEGLIGIBLE
        ]
        self.rows, self.weight = self.posterior.rows(LIGHT)
        self.right: PutRight = put_right(study, self.rows, self.weight)
        self.end = end(self, self.right, self.rows, self.weight)
        self.still_wrong, self.better = still_wrong(self, self.right, self.rows, self.weight)
        self.at_speed = bool(readings.under_way and readings.under_way.keys)

    def answer(self) -> Diagnosis:
        causes = tuple(self._cause(instance) for instance in self.order)
        steps = self._next()
        found = Diagnosis(
            job=self.bench.job,
            readings=self.readings,
            causes=causes,
            groups=self._groups(steps[0].reading if steps else ""),
            lines=self._lines(),
            next=steps,
            healthy=self.healthy(self.study),
            healthy_under_way=self.healthy(self.study.under_way) if self.at_speed else {},
            well=self.well(),
            misfit=self.misfit(),
            contradiction=self.contradiction,
            notes=self._notes(),
            cautions=words.CAUTIONS,
            headline="",
            unknown=self.unknown,
            fixed=self.right.fixed,
            fixed_by=credited(self, self.right.by, self.rows, self.weight) if self.end.over else "",
            done=self.end.done,
            left=self.end.left,
            unread=self.end.unread,
            unknown_why=self.end.unknown,
            watch=self.end.watch,
            asked=bool(self.end.asks) or self.end.goes_on,
            recurs=self.end.recurs,
            still_wrong=self.still_wrong,
            better=self.readings.steps[self.better - 1].did if self.better else "",
            hums=self._hums(),
            as_built=as_built(self.study),
            tools=self.readings.tools,
            actions_tried=tuple(
                Tried(step.did, named(step.did), step.saw, step.values)
                for step in self.readings.steps
            ),
        )
        return replace(found, headline=headline(found))

    def _cause(self, instance: int) -> Cause:
        one = self.study.instances[instance]
        rows, slot, within = self.posterior.of(instance)
        middle = round(float(within @ self.study.severity[rows, slot]), SAME)
        low, high = self._severity_band(instance)
        fixed = once_fixed(self.posterior, instance)
        told, weight, beside = self.posterior.told_by(instance)
        return Cause(
            fault=one.name,
            where=one.where,
            title=words.title(one.name),
            probability=float(self.posterior.probability[instance]),
            present=self.posterior.present(instance),
            severity=middle,
            severity_low=low,
            severity_high=high,
            severity_words=words.severity_words(
                one.name, middle, self.system, (low, high) if high > low else None
            ),
            predicted=self.values(self.study, told, weight),
            predicted_under_way=self.values(self.study.under_way, told, weight)
            if self.at_speed
            else {},
            why=self.why(instance, told, weight, beside),
            fix=words.fix(one.name, self.bench.has),
            look=words.look(one.name, self.bench.has),
            flow_fixed=fixed[1],
            flow_fixed_low=fixed[0],
            flow_fixed_high=fixed[2],
            cautions=words.cautions(one.name),
        )

    def _severity_band(self, cause: int) -> tuple[float, float]:
        """Edges of the 90 % band of the severity: each row's lies evenly in its cell."""
        fault = self.study.instances[cause].faults[0]
        if fault.high <= fault.low:
            return fault.low, fault.low
        rows, slot, within = self.posterior.of(cause)
        below, above = self.study.cell[rows, slot].T
        edges, _ = distinct(np.concatenate([below, above]))
        share = np.clip((edges[:, None] - below) / (above - below), 0.0, 1.0) @ within
        low, high = np.interp(BAND, share, edges)
        return round(float(low), SAME), round(float(high), SAME)

    def _hums(self) -> bool:
        """Whether the pump hummed when it was last heard, and nothing done since has cured that.

        A pump that brings water turns, whatever was heard of it.
        """
        if SOUND in self.contradiction:
            return False
        heard = self.readings.latest.words.get("pump_sound")
        hums = standing(self.posterior, self.readings).words.get("pump_sound") == "hums"
        return heard == "hums" or (hums and not self.right.over)

    def _groups(self, first: str) -> tuple[Group, ...]:
        place = {instance: i for i, instance in enumerate(self.order)}
        found = []
        for group in grouped(self.posterior):
            known = tuple(i for i in group if i in place)
            if not known:
                continue
            split = splitting(self.posterior, self.readings, known, first)
            found.append(
                Group(
                    causes=tuple(place[i] for i in known),
                    title=self.title(known),
                    probability=self.posterior.any_of(known),
                    sentence=self.sentence(known, split, first),
                    split=split,
                )
            )
        return tuple(found)

    def _lines(self) -> tuple[Line, ...]:
        place = {instance: i for i, instance in enumerate(self.order)}
        return tuple(
            Line(tuple(place[i] for i in line), self.title(line), self.posterior.any_of(line))
            for line in lines(self.posterior)
        )

    def _next(self) -> tuple[NextReading, ...]:
        leading = self.order[:LEADING]
        middle, _ = predicted(self.rows, self.study.mean, self.study.factor, self.study.noise)
        owner = self.study.owner[self.study.blamed(self.rows.origin, self.rows.now)]
        found: list[NextReading] = []
        ends = self.end
        if ends.done or ends.recurs or self._sound():
            return ()
        if ends.left:
            left = tuple(filter(None, [mend(self.posterior, self.readings, ends.left)]))
        elif (ends.unknown and not ends.goes_on) or ends.asks:
            left = ends.asks
        else:
            posterior = self.posterior.still() if self.still_wrong else self.posterior
            left = gains(posterior, self.readings)
            if self.well() or self.water_is_right():
                lead = lead_of(self.posterior)
                left = tuple(gain for gain in left if harmless(gain, lead))
            if self.well():
                left = waits_first(left)
        first = self._again() or self._reset()
        if ends.unread and not first:
            first = to_show(self)
        keys = {gain.key for gain in first}
        for gain in (*first, *(gain for gain in left if gain.key not in keys)):
            expected: dict[str, Value] = {}
            for instance in leading:
                some = owner == instance
                if some.any():
                    expected[called(self.study, instance)] = self._expected(gain, some, middle)
            found.append(_step(gain, expected, self.bench.has))
        return tuple(found)

    def _sound(self) -> bool:
        """Whether water and warmth were read since, and speak for a loop with nothing wrong."""
        lead, speed = self.study.instances[self.order[0]].name, self.readings.under_way
        states = (self.readings, *self.readings.steps, *((speed,) if speed else ()))
        read = {key.partition(".")[0] for one in states for key in one.numbers}
        whole = "flow" in read and bool(read & {"outlet_temperature", "condensing_temperature"})
        return whole and lead == "healthy" and self.well()

    def _reset(self) -> tuple[Gain, ...]:
        """The reset of a unit that is locked out still though the water is back, or none."""
        if self.end.left or not locked_out(self, self.better):
            return ()
        one = actions.BY_NAME[RESET]
        return (Gain(one.name, 0.0, 0.0, one.minutes, one.cost),)

    def _again(self) -> tuple[Gain, ...]:
        """The readings to take again where no fault in the list fits.

        Two that contradict each other, or the one that fits worst.
        """
        lead = self.posterior.present(self.order[0])
        pair = self.contradiction
        seen = set(pair) <= self.holding.words.keys()
        doubted = pair and (self.right.over or SOUND in pair or seen)
        if not doubted and not fits_none(self.unknown, bool(self.misfit()), lead):
            return ()
        keys = self.contradiction or tuple(filter(None, [self.fits_worst()]))
        columns = {column.key: column for column in (*self.bench.columns, *self.bench.words)}
        return tuple(
            Gain(key, 0.0, 0.0, columns[key].kind.minutes, columns[key].kind.minutes, columns[key])
            for key in keys
        )

    def _expected(self, gain: Gain, some: Array, middle: Array) -> Value:
        """What a step would most likely give under the rows `some` of the belief."""
        weight, now = self.weight[some] / self.weight[some].sum(), self.rows.now[some]
        if gain.column is None:
            action = actions.BY_NAME[gain.key]
            first = float(weight @ action_chances.chances(self.study, action).first[now])
            return action.answers[0 if first > 0.5 - EVEN else 1]
        if gain.column.kind.choices:
            away = gain.column is self.bench.at_speed
            study, key = (self.study.under_way, "stream") if away else (self.study, gain.key)
            chance = weight @ study.words[key][now]
            return gain.column.kind.choices[int(np.argmax(chance))]
        at = self.bench.at[gain.key]
        return float(self.study.natural(weight @ middle[some])[at])

    def _notes(self) -> tuple[str, ...]:
        notes = [said] if (said := as_built(self.study)) else []
        odd = [
            key
            for key in self.readings.keys
            if key not in self.bench.at and key not in self.study.words
        ]
        if odd:
            notes.append(SAY("note-ignored", readings=", ".join(odd)))
        if not self.study.known:
            notes.append(SAY("note-no-job"))
        elif self.bench.job.fitted.spread is None:
            notes.append(SAY("note-no-baseline"))
        if self.study.known and self.study.guesses:
            notes.append(self.study.guesses)
        return tuple(notes)


def called(study: Study, instance: int) -> str:
    """The name under which a step's expectations stand: with its place where it has twins."""
    one = study.instances[instance]
    twins = [other for other in study.instances if other.name == one.name]
    return one.name if len(twins) == 1 else f"{one.name} ({one.where})"


def _step(gain: Gain, expected: dict[str, Value], has: Has) -> NextReading:
    """A gain as a step for a person."""
    answers: tuple[str, ...]
    if gain.column is None:
        row, action = doing(gain.key, has), actions.BY_NAME[gain.key]
        title, hazard, way, answers = row.title, row.hazard, row.how, action.answers
    else:
        kind = gain.column.kind
        title, hazard, way, answers = gain.column.ask, kind.hazard, kind.how, kind.choices
    return NextReading(
        reading=gain.key,
        kind="action" if gain.column is None else "reading",
        title=title,
        gain=gain.gain,
        minutes=gain.minutes,
        cost=gain.cost,
        cure=gain.cure,
        hazard=hazard,
        how=with_hazard(hazard, way),
        answers=answers,
        expected=expected,
    )
