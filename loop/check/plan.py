"""Plans of work on a job: steps that are done before, or along with, what cures a finding."""

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property

import numpy as np

from loop.balancing.balance import Balance, balanced_at_share
from loop.check.context import Context
from loop.check.result import CondenserResult
from loop.check.work import WORK
from loop.curve import Array
from loop.hydraulics import Network, build, solve_flows
from loop.hydraulics.effort import exhausted
from loop.job import Job, JobError
from loop.records import dataclass
from loop.words.actions import (
    Action,
    ChangeGrate,
    ChangeStrainer,
    CleanGrate,
    CleanStrainer,
    SetValve,
    together,
)


@dataclass(frozen=True)
class Plan:
    """Steps that are done before, or along with, a candidate action: maintenance first.

    ``steps`` are actions on the context's job, empty where there is nothing to do.
    """

    context: Context
    steps: tuple[Action, ...]

    @cached_property
    def job(self) -> Job:
        """The job with the steps done."""
        return together(self.steps).apply(self.context.job) if self.steps else self.context.job

    @cached_property
    def duty(self) -> Balance | None:
        """The balance that meets every unit's need at the low edge, with any pump."""
        return balanced_at_share(build(self.job), self.context.flow_margin)

    def of_kinds(self, *kinds: str) -> "Plan":
        """The steps of these kinds of action only."""
        return Plan(self.context, tuple(one for one in self.steps if one.kind in kinds))

    @property
    def only_shared_parts(self) -> bool:
        """Whether all steps are on shared parts, which leaves the branches' balance unchanged."""
        branched = {
            self.context.addresses[index]
            for index, branch in enumerate(self.context.network.branches)
            if branch
        }
        return not any(getattr(step, "part", None) in branched for step in self.steps)

    def steps_that_cure(self) -> Iterator[Action]:
        """The plan, or part of it, that cures by itself: one free step, all free steps, or all
        steps.

        Turning a handle comes before opening anything up.
        """
        free = self.of_kinds(*(kind for kind, work in WORK.items() if work == 0))
        alone = (Plan(self.context, (step,)) for step in free.steps)
        for some in (*alone, free, self):
            if some.steps and some.cures():
                yield some.followed_by()

    def followed_by(self, *actions: Action) -> Action:
        """The plan followed by these actions, less steps on parts that they replace or set."""
        new = {
            step.part
            for action in actions
            for step in action.steps
            if isinstance(step, ChangeGrate | ChangeStrainer | SetValve)
        }
        spared = (CleanGrate, CleanStrainer, SetValve)
        kept = [one for one in self.steps if not (isinstance(one, spared) and one.part in new)]
        return together([*kept, *actions])

    def that_cure(self, actions: Iterable[Action]) -> Iterator[Action]:
        """The actions that cure, each with the plan that precedes it."""
        return (self.followed_by(action) for action in actions if self.cures(action))

    def cures(self, *actions: Action) -> bool:
        """Whether every running unit gets its need, at the low edge too, with this done.

        Answers are cached in the context, since several findings ask the same. False if unknown and
        the allowed effort is used up.
        """
        done, known = (*self.steps, *actions), self.context.cure_cache
        if done not in known:
            if exhausted():
                return False
            known[done] = self._cures(actions)
        return known[done]

    def _cures(self, actions: Sequence[Action]) -> bool:
        network = self._network(actions)
        return network is not None and self.context.suffices(network, self.flows(network))

    def meets_needs_midband(self) -> bool:
        """Whether every running unit then gets its need, if not at the low edge."""
        network = self._network(())
        return network is not None and (self.context.least_share(network, self.flows(network)) >= 1)

    @property
    def can_be_built(self) -> bool:
        """Whether the loop can be built this way: a hose may be too short for it."""
        return self._network(()) is not None

    def _network(self, actions: Sequence[Action]) -> Network | None:
        """The loop with these actions done; None if it cannot be built."""
        try:
            return build(
                self.followed_by(*actions).apply(self.context.job) if actions else self.job
            )
        except (JobError, ValueError):
            return None

    def flows(self, network: Network) -> Array:
        """Flow of each line [m³/s] of a loop derived from this one."""
        same = len(network.lines) == len(self.context.point.line_flow)
        start = self.context.point.line_flow if self.context.has_flow and same else None
        return np.asarray(solve_flows(network, start=start).line_flow[0])


def midband_target(unit: CondenserResult) -> float:
    """Flow at mid-band [m³/s] that puts the low edge at the need, for a band as wide as now."""
    return unit.needed_flow / max(unit.flow_low / max(unit.flow, 1e-12), 0.5)
