"""Readings taken since a step of a call: whether they are usual, and what may still be asked."""

from loop.diagnose import actions
from loop.diagnose.information_gain import at_hand, ruled_out
from loop.diagnose.reading_kinds import UNDER_WAY, proves
from loop.diagnose.readings import StepDone
from loop.diagnose.reasons import Reasons
from loop.diagnose.root_cause import Want
from loop.diagnose.step_value import StepValue
from loop.diagnose.valid_readings import valid_readings


def usual_readings(call: Reasons, first: int, last: int | None) -> dict[str, bool]:
    """Whether the last reading of each key in these states of the loop was usual."""
    keys = {*call.instruments.column_of, *call.study.words}
    found: dict[str, bool] = {}
    for one in (call.readings, *call.readings.steps)[first:last]:
        renewed = actions.BY_NAME[one.did].renewed(one.saw) if isinstance(one, StepDone) else ()
        found = {key: well for key, well in found.items() if key.partition(".")[0] not in renewed}
        found |= {k: call.usual(call.study, one.alone(k)) for k in one.keys if k in keys}
        away = one.at_speed
        found |= {
            f"{UNDER_WAY}{k}": call.usual(call.study.under_way, away.alone(k))
            for k in away.keys
            if k in keys
        }
    return found


def quickest_proofs(call: Reasons) -> Want:
    """Readings that show whether a loop is right again, the quickest first."""
    shows = [one for one in (*call.instruments.columns, *call.instruments.words) if proves(one.key)]
    return tuple(one.key for one in sorted(shows, key=lambda one: one.kind.minutes))


class ReadingsSince:
    """Readings since a step, and what may still be asked for."""

    def __init__(self, call: Reasons, by: int) -> None:
        self.call = call
        self.usual = usual_readings(call, by, None)
        steps = call.readings.steps
        self.did = {name for step in steps for name in (step.did, step.line)}

    @property
    def well(self) -> bool:
        """Whether every reading that shows the loop's condition is usual."""
        return all(well for key, well in self.usual.items() if proves(key))

    def has(self, want: Want) -> bool:
        """Whether one of these was done, or was read as usual."""
        return any(key in self.did or self.usual.get(key, False) for key in want)

    def is_odd(self, want: Want) -> bool:
        """Whether one of these was read, and none as usual."""
        return not self.has(want) and bool(set(want) & self.usual.keys())

    def asks(self, wants: list[Want]) -> tuple[StepValue, ...]:
        """For each want that was not read yet, the first that is at hand; no duplicates."""
        found = [self._ask(want) for want in wants if not set(want) & self.usual.keys()]
        return tuple({one.key: one for one in found if one is not None}.values())

    def _ask(self, want: Want) -> StepValue | None:
        study, readings = self.call.study, self.call.readings
        known = valid_readings(self.call.posterior, readings)
        able = [
            StepValue(one.key, 0.0, 0.0, one.kind.minutes, one.kind.minutes, one)
            for one in filter(
                None,
                (*study.instruments.columns, *study.instruments.words, study.instruments.at_speed),
            )
            if one.key in want and at_hand(one, readings)
        ] + [
            StepValue(one.name, 0.0, 0.0, one.minutes, one.cost)
            for one in actions.available_actions(study)
            if one.name in want and one.may_follow(readings.steps)
        ]
        able = [one for one in able if not ruled_out(study, one.key, known)]
        return min(able, key=lambda gain: want.index(gain.key), default=None)


def verifying_reading(call: Reasons) -> tuple[StepValue, ...]:
    """The quickest available reading that shows whether a loop is right again, or none.

    Preferably one that was wrong before any action.
    """
    since = ReadingsSince(call, len(call.readings.steps) + 1)
    ill = [key for key, well in usual_readings(call, 0, 1).items() if not well]
    quickest = quickest_proofs(call)
    return since.asks([tuple(sorted(quickest, key=lambda key: key not in ill))])
