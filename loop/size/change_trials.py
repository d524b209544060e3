"""Sets of single changes, each tried once on a loop at its worst service."""

import math

from loop.hydraulics import build, solve_flows
from loop.job import Job
from loop.size.rules import Rules
from loop.size.single_changes import SingleChange, with_changes
from loop.size.worst_case import at_worst_service

ChangeSet = tuple[SingleChange, ...]


class ChangeTrials:
    """Sets of changes tried on one job, each once."""

    def __init__(self, job: Job, rules: Rules) -> None:
        self.job, self.rules = job, rules
        self.want_as_new, self.least_refused_work = False, math.inf
        self._chances: dict[ChangeSet, float] = {}
        self._flows: dict[ChangeSet, tuple[float, float]] = {}
        self._as_new: dict[ChangeSet, tuple[str, ...]] = {}

    def suffices(self, changes: ChangeSet) -> bool:
        """Whether the set withstands the worst service, and is right as new if that is required.

        `least_refused_work` becomes the least work of a set refused only as new.
        """
        if not self.passes(changes):
            return False
        if not self.want_as_new or not self.as_new(changes):
            return True
        self.least_refused_work = min(self.least_refused_work, work_of(changes))
        return False

    def passes(self, changes: ChangeSet) -> bool:
        """Whether the job passes at its worst service, with the required chance."""
        return self.chance(changes) >= self.job.sizing.confidence

    def as_new(self, changes: ChangeSet) -> tuple[str, ...]:
        """Codes of what is wrong as new; an inlet that can wait for a haul-out is not."""
        if changes not in self._as_new:
            self._as_new[changes] = self.rules.as_new(
                with_changes(self.job, changes), may_wait=True
            )[1]
        return self._as_new[changes]

    def chance(self, changes: ChangeSet) -> float:
        """The chance that each unit gets its need; NaN if the check finds anything wrong."""
        if changes not in self._chances:
            job = with_changes(self.job, changes)
            right = self.rules.passes(job)
            self._chances[changes] = self.rules.chances.least(job) if right else math.nan
        return self._chances[changes]

    def least_ratio(self, changes: ChangeSet) -> float:
        """Least flow over need of any condenser, with these changes made."""
        return self._flow(changes)[0]

    def pump_flow(self, changes: ChangeSet) -> float:
        """Flow of the pump [m³/s] with these changes made."""
        return self._flow(changes)[1]

    def _flow(self, changes: ChangeSet) -> tuple[float, float]:
        if changes not in self._flows:
            network = build(at_worst_service(with_changes(self.job, changes)))
            flow = solve_flows(network).line_flow[0]
            units = self.job.condenser
            ratios = (float(flow[network.unit_line(u.name)]) / u.needed_flow for u in units)
            self._flows[changes] = min(ratios), float(flow[network.pump_line])
        return self._flows[changes]


def work_of(changes: ChangeSet) -> int:
    """Work of a set of changes."""
    return sum(change.effort for change in changes)
