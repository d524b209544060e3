"""The drill: readings taken on a hidden fault, an expert's way beside them, and a score."""

from collections.abc import Sequence
from dataclasses import dataclass

from loop.diagnose import Diagnosis, Study, diagnose, named, prepare, shown
from loop.diagnose.words import cautions, fix, look, title
from loop.job import Job
from loop.teach.cases import Case, Level, draw_case
from loop.teach.complaint import complaint

# The expert stops when this sure, or when no reading left is worth its minutes.
_SURE = 0.9
_WORTHLESS = 0.03
# Points: for the right fault, for one of two, for a guess that the readings did not bear out; and
# at most for the time.
_RIGHT, _HALF, _LUCKY, _TIME = 70, 35, 40, 30
# Below this probability by the readings taken, of the true fault and those that no reading tells
# from it, a right answer was luck.
_BORNE_OUT = 0.4
# Boats drawn at most until one has a fault that its readings can show.
_ATTEMPTS = 25
_SEA, _NOTHING_WRONG = "sea_temperature", "healthy"


@dataclass(frozen=True)
class Look:
    """One reading taken: what it showed, what it cost, and what it left of the doubt.

    ``gain`` is the information about the fault expected of it beforehand [bits]; ``leading`` the
    likeliest faults after it, each with its probability.
    """

    key: str
    called: str
    value: str
    minutes: float
    gain: float
    how: str
    leading: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Outcome:
    """How a drill went: the answer, the truth, both ways to it, and the score of 100.

    ``same_as`` are the faults that no reading on this boat tells apart from the true one.
    """

    case: Case
    answer: str
    verdict: str
    points: int
    minutes: float
    looks: tuple[Look, ...]
    expert: tuple[Look, ...]
    expert_minutes: float
    expert_answer: str
    same_as: tuple[str, ...]

    @property
    def fix(self) -> str:
        """What to do about the true fault."""
        return fix(self.case.fault)

    @property
    def sure(self) -> str:
        """What to look at to be sure of it."""
        return look(self.case.fault)

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions that go with the true fault."""
        return cautions(self.case.fault)


class Drill:
    """One drill: a case, and the study of its loop, which is reckoned once.

    Readings taken are passed in, by their keys in the order of taking: the drill itself keeps
    nothing but the diagnoses that it has already worked out.
    """

    def __init__(self, job: Job, seed: int, level: Level) -> None:
        """Draws the case; raises JobError where the loop does not run at all."""
        self.study: Study = prepare(job)
        for attempt in range(_ATTEMPTS):
            self.case: Case = draw_case(job, seed, level, attempt)
            self._known: dict[frozenset[str], Diagnosis] = {}
            if self._can_be_found():
                break

    def _can_be_found(self) -> bool:
        """Whether all readings together point at the fault, and not at a loop with none."""
        found, same = self._after(self.case.keys), self._same_as()
        borne_out = sum(_probability(found, name) for name in {self.case.fault, *same})
        return borne_out >= _BORNE_OUT and _NOTHING_WRONG not in same

    @property
    def complaint(self) -> str:
        """What the customer says."""
        return complaint(self.case, self.study)

    def minutes(self, taken: Sequence[str]) -> float:
        """Minutes that these readings took."""
        return sum(self.case.minutes(key) for key in taken)

    def healthy(self, key: str, taken: Sequence[str] = ()) -> str:
        """What a healthy loop would show, as text; "" for the sea, which is as it is.

        A temperature goes with the sea's, as it was read where it is among those `taken`.
        """
        if key == _SEA:
            return ""
        units, at = self.case.job.units, self.study.bench.at.get(key)
        if at is None:
            return shown(key, str(self._after(()).healthy[key]), units)
        value = float(self.study.mean[self.study.healthy, at])
        if self.study.bench.columns[at].kind.quantity != "temperature":
            return shown(key, value, units)
        sea = self.case.job.water.temperature
        if _SEA in taken:
            return shown(key, value + self.case.readings.numbers[_SEA].value - sea, units)
        return f"{shown(key, value, units)} in a sea of {shown(key, sea, units)}"

    def finish(self, taken: Sequence[str], answer: str) -> Outcome:
        """The outcome for the readings taken and the fault named, "" for none."""
        taken = tuple(dict.fromkeys(taken))
        expert = self._expert()
        same = self._same_as()
        spent, needed = self.minutes(taken), self.minutes(expert)
        verdict, points = self._judge(taken, answer, same)
        if points == _RIGHT:
            points += round(_TIME * min(1.0, needed / spent)) if spent else _TIME
        return Outcome(
            case=self.case,
            answer=answer,
            verdict=verdict,
            points=points,
            minutes=spent,
            looks=self._looks(taken),
            expert=self._looks(expert),
            expert_minutes=needed,
            expert_answer=self._after(expert).causes[0].fault,
            same_as=same,
        )

    def _after(self, taken: Sequence[str]) -> Diagnosis:
        keys = frozenset(taken)
        if keys not in self._known:
            readings = self.case.readings.only(keys)
            self._known[keys] = diagnose(self.case.job, readings, self.study)
        return self._known[keys]

    def _looks(self, taken: Sequence[str]) -> tuple[Look, ...]:
        looks = []
        for number, key in enumerate(taken):
            before, after = self._after(taken[:number]), self._after(taken[: number + 1])
            gain = next((one.gain for one in before.next if one.reading == key), 0.0)
            leading = tuple((title(c.fault), c.probability) for c in after.causes[:3])
            case = self.case
            looks.append(
                Look(
                    key,
                    named(key),
                    case.value(key),
                    case.minutes(key),
                    gain,
                    case.how(key),
                    leading,
                )
            )
        return tuple(looks)

    def _expert(self) -> tuple[str, ...]:
        """Readings of an expert: always the one that tells most for its minutes, until sure."""
        taken: tuple[str, ...] = ()
        while True:
            found = self._after(taken)
            worth = [one for one in found.next if one.kind == "reading" and one.gain >= _WORTHLESS]
            if _probability(found, found.causes[0].fault) >= _SURE or not worth:
                return taken
            taken = (*taken, worth[0].reading)

    def _same_as(self) -> tuple[str, ...]:
        """Faults that all readings together leave in one group with the true one."""
        found = self._after(self.case.keys)
        for group in found.groups:
            names = [found.causes[i].fault for i in group.causes]
            if self.case.fault in names:
                return tuple(dict.fromkeys(name for name in names if name != self.case.fault))
        return ()

    def _judge(self, taken: Sequence[str], answer: str, same: tuple[str, ...]) -> tuple[str, int]:
        if not answer:
            return "No answer given.", 0
        truth = self.case.fault
        if answer != truth and answer not in same:
            if set(answer.split(" + ")) & set(truth.split(" + ")):
                return "Half right: this was one thing, but not the whole of it.", _HALF
            return "Not that one.", 0
        found = self._after(taken)
        if sum(_probability(found, name) for name in {truth, *same}) < _BORNE_OUT:
            return "Right, but by luck: your readings did not yet bear it out.", _LUCKY
        if answer in same:
            return "Right, as far as any reading can tell: only a look decides.", _RIGHT
        return "Right.", _RIGHT


def _probability(found: Diagnosis, fault: str) -> float:
    """Probability of a fault wherever it may sit."""
    return sum(cause.probability for cause in found.causes if cause.fault == fault)
