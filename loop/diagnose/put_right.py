"""Whether what was done has put it right, which step did, and whether that was seen since."""

import numpy as np

from loop.curve import Array
from loop.diagnose.bayes import SAME
from loop.diagnose.belief import Belief
from loop.diagnose.reasons import Reasons
from loop.diagnose.study import Study
from loop.records import dataclass

# The trouble counts as over from this probability on.
OVER = 0.7
# What shows that a loop is right again, by the kind of reading.
PROOF = ("stream", "unit", "flow", "outlet_temperature", "condensing_temperature")


@dataclass(frozen=True)
class PutRight:
    """``fixed`` the probability that what was wrong was put right and what is left does not show;
    ``by`` the number of the step that most likely did so, from 1, 0 for none."""

    fixed: float
    by: int

    @property
    def over(self) -> bool:
        """Whether some step has most likely put it right."""
        return self.fixed >= OVER and self.by > 0


def put_right(study: Study, rows: Belief, weight: Array) -> PutRight:
    """Of a belief's rows, so weighed."""
    right = (rows.now != rows.origin) & ~study.shows[rows.now]
    share = np.round(np.bincount(rows.since[right], weight[right], 1), SAME)
    by = int(share[1:].argmax()) + 1 if len(share) > 1 else 0
    return PutRight(float(weight[right].sum()), by)


def read_since(call: Reasons, found: PutRight) -> bool:
    """Whether something was read since it was put right, and nothing speaks of no water."""
    since = call.readings.steps[found.by - 1 :]
    seen = "stream" in call.study.words
    streams = [one.words["stream"] for one in since if seen and "stream" in one.words]
    return found.over and any(one.keys for one in since) and streams[-1:] != ["none"]


def proved(call: Reasons, found: PutRight) -> bool:
    """Whether what shows it was read since as a healthy loop gives it, and was not so before."""
    states = (call.readings, *call.readings.steps)
    before, since = (
        {
            key: call.usual(call.study, one.alone(key))
            for one in some
            for key in one.keys
            if key.partition(".")[0] in PROOF and (key in call.bench.at or key in call.study.words)
        }
        for some in (states[: found.by], states[found.by :])
    )
    return all(since.values()) and any(not before.get(key) for key in since)
