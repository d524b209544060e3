"""One call, judged: its causes in order, what was put right on it, and whether that is its end."""

from loop.diagnose.ends import end
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.groups import NEGLIGIBLE
from loop.diagnose.put_right import PutRight, put_right, still_wrong
from loop.diagnose.readings import Readings
from loop.diagnose.reasons import Reasons
from loop.diagnose.study import Study

# As many causes are named, however unlikely.
_FEWEST = 3
# Rows of the belief that together weigh less are left out of what is expected.
LIGHT = 1e-6


class Judged(Reasons):
    """One call and what its posterior says.

    ``order`` : the causes that are named, likeliest first; ``unknown`` : the probability of
    something that is not in the list; ``rows`` and ``weight`` : the belief; ``right``, ``end``,
    ``still_wrong`` and ``better`` as `put_right` and `ends` have them; ``at_speed`` : whether
    something was read with the boat at speed.
    """

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
        self.at_speed = any(one.at_speed.keys for one in (readings, *readings.steps))
