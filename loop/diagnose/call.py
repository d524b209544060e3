"""One service call: readings in, ranked faults and next readings out."""

from collections.abc import Collection, Mapping
from dataclasses import replace

import numpy as np

from loop.diagnose.actions import BY_NAME
from loop.diagnose.as_built import as_built
from loop.diagnose.contradiction_laws import SOUND
from loop.diagnose.evaluated_call import EvaluatedCall
from loop.diagnose.fix_status import credited_action
from loop.diagnose.flow_once_fixed import flow_once_fixed
from loop.diagnose.groups import cause_groups, cause_lines, splitting_step
from loop.diagnose.headline import headline
from loop.diagnose.hypotheses import Study, prepare
from loop.diagnose.next_steps import next_steps
from loop.diagnose.parse import parse_readings
from loop.diagnose.posterior import DECIMALS
from loop.diagnose.readings import Readings
from loop.diagnose.result import Cause, CauseGroup, CauseLine, Diagnosis, Tried
from loop.diagnose.valid_readings import valid_readings
from loop.distinct import distinct
from loop.job import Job, takes_job
from loop.words import faults as words
from loop.words.diagnosis import SAY
from loop.words.to_do import doing

# Quantiles of a 90 % band.
BAND = (0.05, 0.95)


@takes_job
def diagnose(
    job: Job,
    readings: Readings | Mapping[str, object],
    study: Study | None = None,
    skipped: Collection[str] = (),
) -> Diagnosis:
    """Ranked faults, the groups that the readings cannot separate, and the readings to take next.

    Parameters
    ----------
    job : Job
        The loop as it should be, with its baseline where one was taken.
    readings : Readings, or a mapping of text or quantities
        The readings: a file's, from `loop.read_readings`, or by key, as
        ``{"flow": "150 gal/h"}``; may be empty, which gives the priors and where to begin.
    study : Study, optional
        From `loop.diagnose.prepare`, to evaluate several sets of readings of one job.
    skipped : collection of str, optional
        Keys of steps that the person skipped: none of them is named as a step to take.

    Returns
    -------
    Diagnosis

    Raises
    ------
    JobError
        Readings or priors with unknown names or invalid values.
    """
    if not isinstance(readings, Readings):
        readings = parse_readings(readings, job)
    study = study or prepare(job, readings.prior)
    return _DiagnosisBuilder(study, readings).diagnosis(skipped)


class _DiagnosisBuilder(EvaluatedCall):
    """Builds an answer from one posterior."""

    def diagnosis(self, skipped: Collection[str]) -> Diagnosis:
        # Who does not open the strainer to clean it does not open it for a look.
        skipped = {*skipped, *(BY_NAME[one].looks for one in skipped if one in BY_NAME)}
        causes = tuple(self._cause(instance) for instance in self.order)
        steps = tuple(one for one in next_steps(self) if one.reading not in skipped)
        found = Diagnosis(
            job=self.instruments.job,
            readings=self.readings,
            causes=causes,
            groups=self._groups(steps[0].reading if steps else "", skipped),
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
            fixed=self.fix.fixed,
            fixed_by=credited_action(self, self.fix.by, self.rows, self.weight)
            if self.end.over
            else "",
            done=self.end.done,
            left=self.end.left,
            unread=self.end.unread,
            unknown_why=self.end.unknown,
            watch=self.end.watch,
            asked=bool(self.end.asks) or self.end.goes_on,
            recurs=self.end.recurs,
            still_wrong=self.still_wrong,
            better=self.readings.steps[self.better - 1].did if self.better else "",
            hums=self._pump_hums(),
            as_built=as_built(self.study),
            tools=self.readings.tools,
            actions_tried=tuple(
                Tried(
                    step.did,
                    doing(step.did, self.instruments.parts_present).title,
                    step.saw,
                    step.values,
                )
                for step in self.readings.steps
            ),
        )
        return replace(found, headline=headline(found))

    def _cause(self, instance: int) -> Cause:
        one = self.study.instances[instance]
        rows, slot, within = self.posterior.rows_with(instance)
        middle = round(float(within @ self.study.severity[rows, slot]), DECIMALS)
        low, high = self._severity_band(instance)
        fixed = flow_once_fixed(self.posterior, instance)
        told, weight, beside = self.posterior.representative_rows(instance)
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
            fix=words.fix(one.name, self.instruments.parts_present),
            look=words.look(one.name, self.instruments.parts_present),
            flow_fixed=fixed[1],
            flow_fixed_low=fixed[0],
            flow_fixed_high=fixed[2],
            cautions=words.cautions(one.name),
        )

    def _severity_band(self, cause: int) -> tuple[float, float]:
        """90 % band of the severity, which is uniform within each row's cell."""
        fault = self.study.instances[cause].faults[0]
        if fault.high <= fault.low:
            return fault.low, fault.low
        rows, slot, within = self.posterior.rows_with(cause)
        below, above = self.study.cell[rows, slot].T
        edges, _ = distinct(np.concatenate([below, above]))
        share = np.clip((edges[:, None] - below) / (above - below), 0.0, 1.0) @ within
        low, high = np.interp(BAND, share, edges)
        return round(float(low), DECIMALS), round(float(high), DECIMALS)

    def _pump_hums(self) -> bool:
        """Whether the pump hummed when last heard, and no later step has cured that.

        A pump that delivers water turns, whatever was heard.
        """
        if SOUND in self.contradiction:
            return False
        heard = self.readings.latest.words.get("pump_sound")
        hums = valid_readings(self.posterior, self.readings).words.get("pump_sound") == "hums"
        return heard == "hums" or (hums and not self.fix.over)

    def _groups(self, first: str, skipped: Collection[str]) -> tuple[CauseGroup, ...]:
        place = {instance: i for i, instance in enumerate(self.order)}
        found = []
        for group in cause_groups(self.posterior):
            known = tuple(i for i in group if i in place)
            if not known:
                continue
            split = splitting_step(self.posterior, self.readings, known, first)
            split = "" if split in skipped else split
            found.append(
                CauseGroup(
                    causes=tuple(place[i] for i in known),
                    title=self.title(known),
                    probability=self.posterior.any_of(known),
                    sentence=self.sentence(known, split, first),
                    split=split,
                )
            )
        return tuple(found)

    def _lines(self) -> tuple[CauseLine, ...]:
        place = {instance: i for i, instance in enumerate(self.order)}
        return tuple(
            CauseLine(tuple(place[i] for i in line), self.title(line), self.posterior.any_of(line))
            for line in cause_lines(self.posterior)
        )

    def _notes(self) -> tuple[str, ...]:
        notes = [f"{said}."] if (said := as_built(self.study)) else []
        odd = [
            key
            for key in self.readings.keys
            if key not in self.instruments.column_of and key not in self.study.words
        ]
        if odd:
            notes.append(SAY("note-ignored", readings=", ".join(odd)))
        if not self.study.known:
            notes.append(SAY("note-no-job"))
        elif self.instruments.job.fitted.spread is None:
            notes.append(SAY("note-no-baseline"))
        if self.study.known and self.study.guesses:
            notes.append(self.study.guesses)
        return tuple(notes)
