"""Readings of a call that are still valid, whatever was done since."""

from collections.abc import Collection, Mapping, Sequence

from loop.diagnose.action import states_before_failure
from loop.diagnose.actions import BY_NAME
from loop.diagnose.contradiction_laws import SOUND, stopped_yet_pumping
from loop.diagnose.posterior import DECIMALS, Posterior
from loop.diagnose.reading_kinds import UNDER_WAY
from loop.diagnose.readings import OF_THE_DAY, Readings, ReadingSet
from loop.records import dataclass

# Probability that a later action has changed the loop: from the first value a reading is worth
# repeating, from the second an earlier word no longer decides what may be done (engineering
# estimates).
AGAIN, NO_LONGER = 0.05, 0.5
# Faults of a motor that has current and does not turn: it burns, whether its hum is heard or not.
STUCK = ("pump-jammed", "motor-no-start")


@dataclass(frozen=True)
class ValidReadings:
    """``keys`` : readings that later actions hardly can have changed (`AGAIN`); ``words`` : those
    that most likely still hold (`NO_LONGER`).
    """

    keys: frozenset[str]
    words: Mapping[str, str]

    def all_answered(self, keys: Sequence[str], answers: Collection[str]) -> bool:
        """Whether each of these was observed, with one of these answers."""
        return bool(keys) and all(self.words.get(key) in answers for key in keys)


def valid_readings(posterior: Posterior, readings: Readings) -> ValidReadings:
    """The readings that still hold, at the dock and at speed."""
    changed = [posterior.changed_since(step) for step in range(len(readings.steps) + 1)]
    keys: set[str] = set()
    words: dict[str, str] = {}
    void = states_before_failure(readings.steps)
    renewed = ((), *(BY_NAME[step.did].renewed(step.saw) for step in readings.steps))
    for number, (taken, odds) in enumerate(zip((readings, *readings.steps), changed, strict=True)):
        odds = 1.0 if number < void else odds
        keys = {key for key in keys if key.partition(".")[0] not in renewed[number]}
        words = {k: word for k, word in words.items() if k.partition(".")[0] not in renewed[number]}
        said = dict(taken.words)
        said |= {f"{UNDER_WAY}{key}": word for key, word in taken.at_speed.words.items()}
        fresh = {key for key in taken.everywhere if odds < AGAIN or key in OF_THE_DAY}
        keys = (keys - set(taken.everywhere)) | fresh
        words = {key: word for key, word in words.items() if key not in said}
        words |= said if odds < NO_LONGER else {}
    if _motor_is_stuck(posterior):
        keys.add(SOUND)
        words[SOUND] = "hums"
    if stopped_yet_pumping(words):  # an ordinary hum, or misheard
        del words[SOUND]
    return ValidReadings(frozenset(keys), words)


def _motor_is_stuck(posterior: Posterior) -> bool:
    """Whether the motor is more likely than not `STUCK` now."""
    study, belief = posterior.study, posterior.belief
    causes = [i for i in study.causes if study.instances[i].name in STUCK]
    stuck = (study.slot[causes][:, study.owner[belief.now]] >= 0).any(axis=0)
    return round(float(belief.weight[stuck].sum()), DECIMALS) > 0.5


def current_readings(posterior: Posterior, readings: Readings) -> ReadingSet:
    """Current knowledge of the loop: readings since the last step or of the day, and earlier words
    that no later action is likely to have changed.
    """
    latest, fresh = readings.latest, valid_readings(posterior, readings).keys
    words = {
        key: word
        for taken in (readings, *readings.steps)
        for key, word in taken.words.items()
        if key in fresh
    }
    return ReadingSet(latest.numbers, words | dict(latest.words))
