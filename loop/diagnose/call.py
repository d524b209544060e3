"""One service call: readings in, ranked faults and the next reading out."""

from collections.abc import Mapping

import numpy as np

from loop.curve import Array
from loop.diagnose import words
from loop.diagnose.fault_effects import IntArray
from loop.diagnose.groups import NEGLIGIBLE, grouped, splitting
from loop.diagnose.hypotheses import Study, prepare
from loop.diagnose.instruments import Column
from loop.diagnose.next_reading import gains
from loop.diagnose.readings import Readings, parse_readings
from loop.diagnose.reasons import Reasons
from loop.diagnose.result import Cause, Diagnosis, Group, NextReading, Value
from loop.job import Job

# Edges of a 90 % band, and the standard deviations at which a normal has them.
_BAND = (0.05, 0.95)
_BAND_SIGMA = 1.645
_LEADING = 4


def diagnose(
    job: Job, readings: Readings | Mapping[str, object], study: Study | None = None
) -> Diagnosis:
    """Ranked faults, the groups that the readings cannot split, and the readings to take next.

    Parameters
    ----------
    job : Job
        The loop as it should be, with its baseline where one was taken.
    readings : Readings, or a mapping of text
        What was read: `parse_readings`; may be empty, which gives the priors and where to begin.
    study : Study, optional
        From `prepare`, where several sets of readings of one job are judged.

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
        order = np.argsort(-self.posterior.probability, kind="stable")
        enough = self.posterior.probability[order] >= NEGLIGIBLE
        self.order = [int(i) for i in order[: max(3, int(enough.sum()))]]

    def answer(self) -> Diagnosis:
        causes = tuple(self._cause(instance) for instance in self.order)
        healthy = self.study.healthy
        return Diagnosis(
            job=self.bench.job,
            readings=self.readings,
            causes=causes,
            groups=self._groups(),
            next=self._next(),
            healthy=self._values(self.expected[healthy], np.eye(len(self.expected))[healthy]),
            misfit=self.misfit(),
            notes=self._notes(),
            cautions=words.CAUTIONS,
        )

    def _values(self, row: Array, weight: Array) -> dict[str, Value]:
        """Every reading by key: numbers of one row of predictions, likeliest words by weight."""
        values: dict[str, Value] = {
            column.key: float(row[i]) for i, column in enumerate(self.bench.columns)
        }
        for column in self.bench.words:
            values[column.key] = self.likeliest(column, weight)
        return values

    def _cause(self, instance: int) -> Cause:
        one = self.study.instances[instance]
        rows = np.flatnonzero(self.study.owner == instance)
        within = self.posterior.of(instance)
        weight = np.zeros(len(self.study.owner))
        weight[rows] = within
        predicted = self._values(within @ self.expected[rows], weight)
        middle = within @ self.study.severity[rows]
        low, high = self._severity_band(instance, rows, within)
        mended = within @ self.posterior.mean[rows, -1]
        variance = within @ (
            self.posterior.covariance[rows, -1, -1] + (self.posterior.mean[rows, -1] - mended) ** 2
        )
        spread = _BAND_SIGMA * float(np.sqrt(max(variance, 0.0)))
        return Cause(
            fault=one.name,
            where=one.where,
            title=words.title(one.name),
            probability=float(self.posterior.probability[instance]),
            severity=float(middle[0]),
            severity_low=low,
            severity_high=high,
            severity_words=words.severity_words(
                one.name, tuple(middle[: len(one.faults)]), (low, high), self.system
            ),
            predicted=predicted,
            why=self.why(one.name, predicted),
            fix=words.fix(one.name),
            look=words.look(one.name),
            flow_mended=float(mended),
            flow_mended_low=max(float(mended) - spread, 0.0),
            flow_mended_high=float(mended) + spread,
            cautions=words.cautions(one.name),
        )

    def _severity_band(self, instance: int, rows: IntArray, within: Array) -> tuple[float, float]:
        """Edges of the 90 % band of the first fault's severity, within the cells of the grid."""
        fault = self.study.instances[instance].faults[0]
        grid, where = np.unique(self.study.severity[rows, 0], return_inverse=True)
        if len(grid) < 2:
            return float(grid[0]), float(grid[0])
        share = np.concatenate([[0.0], np.cumsum(np.bincount(where, within))])
        edges = np.linspace(fault.low, fault.high, len(grid) + 1)
        low, high = np.interp(_BAND, share, edges)
        return float(low), float(high)

    def _groups(self) -> tuple[Group, ...]:
        place = {instance: i for i, instance in enumerate(self.order)}
        found = []
        for group in grouped(self.posterior):
            known = tuple(i for i in group if i in place)
            split = splitting(self.posterior, self.readings, known)
            found.append(
                Group(
                    causes=tuple(place[i] for i in known),
                    probability=float(self.posterior.probability[list(known)].sum()),
                    sentence=self.sentence(known, split),
                    split=split,
                )
            )
        return tuple(found)

    def _next(self) -> tuple[NextReading, ...]:
        leading = self.order[:_LEADING]
        found = []
        for gain in gains(self.posterior, self.readings):
            column = gain.column
            expected = {
                self._called(instance): self._expected(column, instance) for instance in leading
            }
            found.append(
                NextReading(column.key, gain.gain, column.kind.minutes, column.kind.how, expected)
            )
        return tuple(found)

    def _called(self, instance: int) -> str:
        one = self.study.instances[instance]
        twins = [other for other in self.study.instances if other.name == one.name]
        return one.name if len(twins) == 1 else f"{one.name} ({one.where})"

    def _expected(self, column: Column, instance: int) -> Value:
        rows = np.flatnonzero(self.study.owner == instance)
        within = self.posterior.of(instance)
        if column.kind.choices:
            weight = np.zeros(len(self.study.owner))
            weight[rows] = within
            return self.likeliest(column, weight)
        return float(within @ self.posterior.mean[rows, self.bench.at[column.key]])

    def _notes(self) -> tuple[str, ...]:
        notes = []
        odd = [
            key
            for key in self.readings.keys
            if key not in self.bench.at and key not in self.study.words
        ]
        if odd:
            notes.append(f"Not used, since this loop or its job cannot give it: {', '.join(odd)}.")
        more = len(self.bench.job.condenser) - len(self.bench.units)
        if more > 0:
            notes.append(f"Only the first {len(self.bench.units)} condensers are looked at.")
        if self.bench.job.fitted.spread is None:
            notes.append(
                "Judged against the design: a baseline of this boat (loop baseline) would make "
                "the answer sharper."
            )
        return tuple(notes)
