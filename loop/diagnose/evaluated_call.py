"""One call, evaluated: its causes in order, what was fixed, and whether that ends it."""

from loop.diagnose.call_end import call_end
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.fix_status import FixStatus, fix_status, still_wrong
from loop.diagnose.groups import NEGLIGIBLE
from loop.diagnose.readings import Readings
from loop.diagnose.reasons import Reasons
from loop.diagnose.study import Study

# Fewest causes that are named, however unlikely.
_FEWEST = 3
# Lightest rows of the belief with this total weight are left out of predictions.
LIGHT = 1e-6


class EvaluatedCall(Reasons):
    """One call and its posterior.

    ``order`` : the causes that are named, likeliest first; ``unknown`` : probability of an unlisted
    cause; ``rows`` and ``weight`` : the belief; ``fix``, ``end``, ``still_wrong`` and ``better``
    as defined in `fix_status` and `call_end`; ``at_speed`` : whether anything was read with the
    boat at speed.
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
        self.fix: FixStatus = fix_status(study, self.rows, self.weight)
        self.end = call_end(self, self.fix, self.rows, self.weight)
        self.still_wrong, self.better = still_wrong(self, self.fix, self.rows, self.weight)
        self.at_speed = any(one.at_speed.keys for one in (readings, *readings.steps))
