"""Sets of single changes, each tried once on a loop at its worst service."""

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import partial

from loop.hydraulics import Network, build, nominal_flows
from loop.hydraulics.together import solve_together
from loop.size.rules import Rules
from loop.size.single_changes import SingleChange, with_changes
from loop.size.worst_case import at_worst_service

# Sets whose flows are solved at once; each process takes so many.
_TOGETHER = 16

ChangeSet = tuple[SingleChange, ...]


class ChangeTrials:
    """Sets of changes tried on a job as found, each once."""

    def __init__(self, rules: Rules) -> None:
        self.job, self.rules = rules.as_found, rules
        self._flows: dict[ChangeSet, tuple[float, float]] = {}
        self.want_as_new, self.least_refused_work = False, math.inf

    def in_turn(self, sets: Iterable[ChangeSet]) -> Iterator[ChangeSet]:
        """The sets in order; while one is looked at, other processes try the next."""
        ask = partial(self.rules.ask_once, chance_if_right)
        return (changes for changes, _ in self.rules.processes.in_order(ask, sets))

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
        return self.rules.ask_once(wrong_as_new, changes)()

    def chance(self, changes: ChangeSet) -> float:
        """The chance that each unit gets its need; NaN if the check finds anything wrong."""
        return self.rules.ask_once(chance_if_right, changes)()

    def least_ratios(self, sets: Sequence[ChangeSet]) -> list[float]:
        """Least flow over need of any condenser, with each set of changes made."""
        left = [changes for changes in dict.fromkeys(sets) if changes not in self._flows]
        asked = [self.rules.ask(flows, tuple(some)) for some in _batches(left)]
        for answer in asked:
            self._flows |= answer()
        return [self._flows[changes][0] for changes in sets]

    def least_ratio(self, changes: ChangeSet) -> float:
        """The same with one set of changes made."""
        return self.least_ratios([changes])[0]

    def pump_flow(self, changes: ChangeSet) -> float:
        """Flow of the pump [m³/s] with these changes made."""
        self.least_ratio(changes)
        return self._flows[changes][1]


def chance_if_right(rules: Rules, changes: ChangeSet) -> float:
    """Least chance of a unit with these changes made; NaN if a check finds anything wrong."""
    job = with_changes(rules.as_found, changes)
    return rules.chances.least(job) if rules.passes(job) else math.nan


def wrong_as_new(rules: Rules, changes: ChangeSet) -> tuple[str, ...]:
    """Codes of what is wrong as new, with these changes made."""
    return rules.as_new(with_changes(rules.as_found, changes), may_wait=True)[1]


def flows(rules: Rules, sets: tuple[ChangeSet, ...]) -> dict[ChangeSet, tuple[float, float]]:
    """Least flow over need of a unit, and the pump's flow [m³/s], with each set of changes made."""
    jobs = (at_worst_service(with_changes(rules.as_found, changes)) for changes in sets)
    networks = {changes: build(job) for changes, job in zip(sets, jobs, strict=True)}
    solve_together(tuple(networks.values()))
    return {changes: _flows(network) for changes, network in networks.items()}


def _flows(network: Network) -> tuple[float, float]:
    flow, units = nominal_flows(network).line_flow[0], network.job.condenser
    ratios = (float(flow[network.unit_line(unit.name)]) / unit.needed_flow for unit in units)
    return min(ratios), float(flow[network.pump_line])


def _batches(sets: Sequence[ChangeSet]) -> Iterator[Sequence[ChangeSet]]:
    return (sets[start : start + _TOGETHER] for start in range(0, len(sets), _TOGETHER))


def work_of(changes: ChangeSet) -> int:
    """Work of a set of changes."""
    return sum(change.effort for change in changes)
