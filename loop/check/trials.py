"""Trials of actions on the whole loop before they are offered: what they cure and bring."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from loop.check.build_context import build_context
from loop.check.context import Context
from loop.check.drafts import NO_CANDIDATES, Draft
from loop.check.offers import Offer, finding_with_actions
from loop.check.outcome import Judge, Outcome, same_finding
from loop.check.work import work
from loop.hydraulics.effort import allowed, effort
from loop.job import JobError
from loop.words import CODES, LEVELS, Action, Finding, Level
from loop.words.finding import AT_REST, graver
from loop.words.moved import Moves

# Solver steps that the trials of one check may take, so that the time is bounded for any job: an
# ordinary boat with many things wrong takes half of them. Dangers and faults may take `GRAVE`
# times as many: the cause of several units short of water at once takes up to twice. Lesser
# findings have the share `_LESSER` of it in any case.
MOST_EFFORT, GRAVE, _LESSER = 1600.0, 2.25, 0.25
# Limit on the candidates of one finding that are tried once one of them works.
_MOST_CANDIDATES = 8
# Share of its flow that a unit short of water may lose to an action that cures another finding:
# engineering estimate.
_FLOW_LOST = 0.02
# Difference in work within which two ways count as equal: engineering estimate.
_SIMILAR_WORK = 1


class Trials:
    """Tries actions on a job, each once, until `most` solver steps are spent.

    No trial starts without steps left for it: it takes about as many as ``context_effort``, those
    on the job itself.
    """

    def __init__(
        self,
        context: Context,
        findings: Sequence[Finding],
        judge: Judge,
        most: float,
        context_effort: float,
    ) -> None:
        self.job, self.findings, self._judge = context.job, findings, judge
        self._context, self._most = context, most - context_effort
        self._outcomes: dict[Action, Outcome | None] = {}
        self._known_cures: dict[str, list[Action]] = {}
        self._first_actions: list[Action] = []
        self._spent = self._began = self._grave_effort = 0.0
        self._limit = self._most

    def with_actions(self, draft: Draft, most: int | None = None) -> Finding:
        """The finding of a draft with the actions that work, first those that bring nothing.

        `most`, at least 1, limits how many are sought; the first is the same.
        """
        clean: dict[tuple[str, ...], Offer] = {}  # also those that leave too little margin
        others: dict[tuple[str, ...], Offer] = {}
        wanted = tried = 0
        self._began = effort() - self._spent
        grave = draft.level in this_or_graver("fault")
        lesser = max(self._most, self._grave_effort + _LESSER * self._most)
        self._limit = GRAVE * self._most if grave else lesser
        if draft.level == "note" and draft.candidates is not NO_CANDIDATES:
            # No work is advised on what the fix of another finding replaces.
            already = self._already_cured(draft.finding)
            if already is not None and not already.has_drawbacks:
                return finding_with_actions(draft.finding, [already])
        for action in self._candidates(draft):
            wanted = wanted or most or draft.offer_count()
            if any(
                set(offer.action.steps) < set(action.steps) and not offer.brings
                for offer in clean.values()
            ):
                continue  # the same, and more
            kinds = tuple(sorted({step.kind for step in action.steps}))
            # Another size of an action offered is no other way, except a handle turned further, or
            # one after which the file need not say more.
            known = clean.get(kinds)
            if (
                known
                and not known.asks_for_values
                and (not known.only_marginal or work(self.job, action))
            ):
                continue
            tried += 1
            offer = self._try(action, draft.finding)
            if offer is not None:
                kept = others if offer.has_drawbacks else clean
                better = not (offer.has_drawbacks or offer.only_marginal or offer.asks_for_values)
                kept[kinds] = offer if better else kept.get(kinds, offer)
            whole = any(not offer.only_marginal for offer in clean.values())
            if (len(clean) >= wanted and whole) or (
                tried >= _MOST_CANDIDATES and (clean or others)
            ):
                break
        self._spent = effort() - self._began
        self._grave_effort = self._spent if grave else self._grave_effort
        if not clean and draft.level != "note" and draft.candidates is not NO_CANDIDATES:
            already = self._already_cured(draft.finding)
            if already is not None:
                (others if already.has_drawbacks else clean)[()] = already
                wanted = wanted or 1
        cures = [offer.action for offer in (*clean.values(), *others.values())]
        self._known_cures.setdefault(draft.code, []).extend(cures)
        rest = [others[kinds] for kinds in others if kinds not in clean]
        rest.sort(key=lambda offer: bool(offer.worsens))
        offers = [*self._full_margin_first(list(clean.values())), *rest]
        self._first_actions += [offer.action for offer in offers[:1]]
        if not offers and not self._exhausted and "in-vain" in CODES[draft.code].cases:
            return _in_vain(draft.finding)
        return finding_with_actions(draft.finding, offers[:wanted])

    def _already_cured(self, finding: Finding) -> Offer | None:
        """The first action for a graver finding, if it cures this one too."""
        offers = (self._try(action, finding) for action in dict.fromkeys(self._first_actions))
        return next((offer for offer in offers if offer is not None), None)

    def _full_margin_first(self, offers: list[Offer]) -> list[Offer]:
        """Full margin before too little margin, if it is no more work or hardly more."""

        def work_of(offer: Offer) -> int:
            return work(self.job, offer.action)

        least = min((work_of(one) for one in offers if not one.only_marginal), default=math.inf)
        return sorted(
            offers, key=lambda one: one.only_marginal and work_of(one) + _SIMILAR_WORK >= least
        )

    def context_after(self, action: Action) -> Context | None:
        """The context of the loop with an action done, if that was tried."""
        done = self._outcomes.get(action)
        return None if done is None else done.context

    def _try(self, action: Action, finding: Finding) -> Offer | None:
        """The offer of an action, if it cures a finding and brings none as grave."""
        after = self._outcome(action)
        if after is None:
            return None
        here = after.moves.of_place(finding.at)
        grave = this_or_graver(finding.level)
        asked = [one for one in LEVELS if one in grave or one in CODES[finding.code].levels]
        # The first finding that rules it out is enough: expensive finders come last.
        for one in after.findings(asked):
            harm = one.level in grave and after.is_new(one) and not after.is_rest_of_shortage(one)
            if harm or same_finding(one, finding, here):
                return None
        resting = after.context.at_rest if _is_at_rest(finding) else None
        units = {unit.name: unit for unit in (resting or after.context).condensers}
        if any(self._starves(finding, *states) for states in self._states(finding, after.context)):
            return None
        # A warning brought by the cure of a fault is part of its price.
        grave = this_or_graver("warning")
        brings = tuple(one for one in after.findings(grave) if after.is_new(one))
        worsens = tuple(one for one in after.findings(grave) if after.is_worse(one))
        return Offer(action, brings, worsens, {name: unit.flow for name, unit in units.items()})

    def _states(self, finding: Finding, after: Context) -> Iterator[tuple[Context, Context]]:
        """Before and after an action: for a finding at rest, there and at speed.

        Too little water at rest is cured at the cost of some of what speed gives.
        """
        rest, resting = self._context.at_rest, after.at_rest
        if _is_at_rest(finding) and rest is not None and resting is not None:
            yield rest, resting
            if finding.code == "at-rest-short":
                return
        yield self._context, after

    def _starves(self, finding: Finding, before: Context, after: Context) -> bool:
        """Whether a unit whose shortage is as grave as the finding, or graver, loses flow.

        Not one that then has its need at the low edge too: its band was wide.
        """
        units = {unit.name: unit for unit in after.condensers}
        for unit in before.condensers:
            then = units.get(unit.name, unit)
            wanting = unit.flow_low < unit.needed_flow and then.flow_low < then.needed_flow
            less = then.flow < unit.flow - _FLOW_LOST * abs(unit.flow)
            short: Level = "fault" if unit.flow < unit.needed_flow else "warning"
            if wanting and less and graver(short, finding.level):
                return True
        return False

    def _outcome(self, action: Action) -> Outcome | None:
        """The loop with an action done; None if it cannot be built or no effort is left."""
        if action not in self._outcomes and not self._exhausted:
            self._outcomes[action] = self._simulate(action)
        return self._outcomes.get(action)

    def _candidates(self, draft: Draft) -> Iterator[Action]:
        """The candidates of a draft while effort is left: some are found by solving."""
        candidates = _distinct(draft.candidates())
        while not self._exhausted and (action := self._next_candidate(candidates)) is not None:
            yield action
        if self._exhausted:
            # Cures of other findings with this code are already known.
            yield from dict.fromkeys(self._known_cures.get(draft.code, ()))

    def _next_candidate(self, candidates: Iterator[Action]) -> Action | None:
        """The next candidate, found within the effort that is left."""
        with allowed(self._effort_left):
            return next(candidates, None)

    @property
    def _exhausted(self) -> bool:
        """Whether the effort is used up."""
        return self._effort_left < 0

    @property
    def _effort_left(self) -> float:
        return self._limit - (effort() - self._began)

    def _simulate(self, action: Action) -> Outcome | None:
        try:
            moves, job = Moves.of(action, self.job), action.apply(self.job)
        except (JobError, KeyError, ValueError):
            return None  # a height or duty that no hose or pump can have
        context = build_context(job)
        head = self._context.point.pump_inlet.total_head
        done = (context, moves, self._judge, self.findings, head)
        return Outcome(*done) if context.settled else None


def _is_at_rest(finding: Finding) -> bool:
    """Whether a finding is about the flows of the boat at rest."""
    return finding.code == "at-rest-short" or AT_REST.items() <= finding.values.items()


def this_or_graver(level: Level) -> tuple[Level, ...]:
    """A level and those graver than it."""
    return tuple(one for one in LEVELS if graver(one, level))


def _distinct(actions: Iterable[Action]) -> Iterator[Action]:
    seen: set[Action] = set()
    for action in actions:
        if action not in seen:
            seen.add(action)
            yield action


def _in_vain(finding: Finding) -> Finding:
    """A finding for which every candidate was tried and none cures."""
    case = f"{finding.values.get('case') or ''} in-vain".strip()
    return replace(finding, values={**finding.values, "case": case})
