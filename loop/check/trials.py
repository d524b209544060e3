"""Trials of actions on the whole loop before they are offered: what they cure and bring."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from loop.check.context import Context
from loop.check.drafts import NONE, Draft
from loop.check.look import look
from loop.check.outcome import Judge, Outcome, same
from loop.check.result import CondenserResult
from loop.check.too_fast import barely
from loop.check.work import work
from loop.hydraulics.effort import allowed, effort
from loop.job import JobError
from loop.records import dataclass
from loop.words import CODES, LEVELS, Action, Finding, Level
from loop.words.finding import AT_REST, graver
from loop.words.moved import Moves

# Solver steps that the trials of one check may take, so that the time is bounded for any job: an
# ordinary boat with many things wrong takes half of them. Dangers and faults may take `GRAVE`
# times as many: the cause of several units short of water at once takes up to twice. Lesser
# findings have the share `_LESSER` of it in any case.
MOST_EFFORT, GRAVE, _LESSER = 1600.0, 2.25, 0.25
# Limit on the candidates of one finding that are tried once one of them works.
_CANDIDATES = 8
# Share of its flow that a unit short of water may lose to an action that cures another finding:
# engineering estimate.
_LOST = 0.02
# Care and the dividing of water: cheap, and the flow is measured afterward.
_RIGHTS = ("set-valve", "fit-valve", "fit-orifice", "clean-strainer", "clean-grate", "descale",
           "set-supply")  # fmt: skip
# Findings that ask for a value that the file leaves out.
_ASKED = ("rise-unstated", "place-unstated", "limit-unstated")
# Difference in work within which two ways count as equal: engineering estimate.
_ALIKE = 1


@dataclass(frozen=True)
class Offer:
    """An action that works; the lesser findings that it brings; the flows that it leaves.

    ``worsens``: findings already present that get worse: water that is too fast, faster still.
    """

    action: Action
    brings: tuple[Draft, ...]
    worsens: tuple[Draft, ...]
    flows: dict[str, float]

    @property
    def costs(self) -> bool:
        """Whether what it brings puts it behind an action that brings nothing.

        Water barely over its limit is reported, but is no reason for another pump.
        """
        rights = all(step.kind in _RIGHTS for step in self.action.steps)
        return bool(self.worsens) or (bool(self._dear) and not (rights and self.thin))

    @property
    def thin(self) -> bool:
        """Whether it brings too little margin and nothing else.

        Valves and care with too little margin come before more work with full margin, which is
        bought once the margin is measured: common practice.
        """
        return {one.code for one in self._dear} == {"flow-marginal"}

    @property
    def asks(self) -> bool:
        """Whether it brings what the file is to say, which is no reason to buy something."""
        return any(one.code in _ASKED for one in self.brings)

    @property
    def _dear(self) -> list[Draft]:
        return [one for one in self.brings if not barely(one.values) and one.code not in _ASKED]


class Trials:
    """Tries actions on a job, each once, until `most` solver steps are spent.

    No trial starts without steps left for it: it takes about as many as ``look`` took on the job
    itself.
    """

    def __init__(
        self,
        context: Context,
        findings: Sequence[Finding],
        judge: Judge,
        most: float,
        look: float,
    ) -> None:
        self.job, self.findings, self._judge = context.job, findings, judge
        self._context, self._most = context, most - look
        self._known: dict[Action, Outcome | None] = {}
        self._held: dict[str, list[Action]] = {}
        self._firsts: list[Action] = []
        self._spent = self._began = self._graves = 0.0
        self._limit = self._most

    def offered(self, draft: Draft, most: int | None = None) -> Finding:
        """The finding of a draft with the actions that work, first those that bring nothing.

        `most`, at least 1, limits how many are sought; the first is the same.
        """
        clean: dict[tuple[str, ...], Offer] = {}  # also those that leave too little margin
        others: dict[tuple[str, ...], Offer] = {}
        asked = tried = 0
        self._began = effort() - self._spent
        grave = draft.level in upto("fault")
        lesser = max(self._most, self._graves + _LESSER * self._most)
        self._limit = GRAVE * self._most if grave else lesser
        if draft.level == "note" and draft.candidates is not NONE:
            # No work is advised on what the fix of another finding replaces.
            anyhow = self._done_anyhow(draft.finding)
            if anyhow is not None and not anyhow.costs:
                return _with(draft.finding, [anyhow])
        for action in self._asked(draft):
            asked = asked or most or draft.asked()
            if any(
                set(offer.action.steps) < set(action.steps) and not offer.brings
                for offer in clean.values()
            ):
                continue  # the same, and more
            sort = tuple(sorted({step.kind for step in action.steps}))
            # Another size of an action offered is no other way, except a handle turned further, or
            # one after which the file need not say more.
            known = clean.get(sort)
            if known and not known.asks and (not known.thin or work(self.job, action)):
                continue
            tried += 1
            offer = self._try(action, draft.finding)
            if offer is not None:
                kept = others if offer.costs else clean
                better = not (offer.costs or offer.thin or offer.asks)
                kept[sort] = offer if better else kept.get(sort, offer)
            whole = any(not offer.thin for offer in clean.values())
            if (len(clean) >= asked and whole) or (tried >= _CANDIDATES and (clean or others)):
                break
        self._spent = effort() - self._began
        self._graves = self._spent if grave else self._graves
        if not clean and draft.level != "note" and draft.candidates is not NONE:
            anyhow = self._done_anyhow(draft.finding)
            if anyhow is not None:
                (others if anyhow.costs else clean)[()] = anyhow
                asked = asked or 1
        held = [offer.action for offer in (*clean.values(), *others.values())]
        self._held.setdefault(draft.code, []).extend(held)
        rest = [others[sort] for sort in others if sort not in clean]
        rest.sort(key=lambda offer: bool(offer.worsens))
        offers = [*self._whole_first(list(clean.values())), *rest]
        self._firsts += [offer.action for offer in offers[:1]]
        if not offers and not self._over and "in-vain" in CODES[draft.code].cases:
            return _in_vain(draft.finding)
        return _with(draft.finding, offers[:asked])

    def _done_anyhow(self, finding: Finding) -> Offer | None:
        """The first action for a graver finding, if it cures this one too."""
        offers = (self._try(action, finding) for action in dict.fromkeys(self._firsts))
        return next((offer for offer in offers if offer is not None), None)

    def _whole_first(self, offers: list[Offer]) -> list[Offer]:
        """Full margin before too little margin, if it is no more work or hardly more."""

        def much(offer: Offer) -> int:
            return work(self.job, offer.action)

        least = min((much(one) for one in offers if not one.thin), default=math.inf)
        return sorted(offers, key=lambda one: one.thin and much(one) + _ALIKE >= least)

    def after(self, action: Action) -> Context | None:
        """The context of the loop with an action done, if that was tried."""
        done = self._known.get(action)
        return None if done is None else done.context

    def _try(self, action: Action, finding: Finding) -> Offer | None:
        """The offer of an action, if it cures a finding and brings none as grave."""
        after = self._outcome(action)
        if after is None:
            return None
        here = after.moves.of_place(finding.at)
        grave = upto(finding.level)
        asked = [one for one in LEVELS if one in grave or one in CODES[finding.code].levels]
        # The first finding that rules it out is enough: expensive finders come last.
        for one in after.coming(asked):
            if same(one, finding, here) or (one.level in grave and after.is_new(one)):
                return None
        # A warning brought by the cure of a fault is part of its price.
        lighter = [level for level in upto("warning") if not graver(level, finding.level)]
        resting = after.context.at_rest if _resting(finding) else None
        units = {unit.name: unit for unit in (resting or after.context).condensers}
        if self._starves(finding, units):
            return None
        brings = tuple(one for one in after.coming(lighter) if after.is_new(one))
        worsens = tuple(one for one in after.coming(upto("warning")) if after.is_worse(one))
        return Offer(action, brings, worsens, {name: unit.flow for name, unit in units.items()})

    def _starves(self, finding: Finding, after: Mapping[str, CondenserResult]) -> bool:
        """Whether a unit whose shortage is as grave as the finding, or graver, loses flow.

        Not one that then has its need at the low edge too: its band was wide.
        """
        context = self._context
        if _resting(finding) and context.at_rest is not None:
            context = context.at_rest
        for unit in context.condensers:
            then = after.get(unit.name, unit)
            wanting = unit.flow_low < unit.needed_flow and then.flow_low < then.needed_flow
            less = then.flow < unit.flow - _LOST * abs(unit.flow)
            short: Level = "fault" if unit.flow < unit.needed_flow else "warning"
            if wanting and less and graver(short, finding.level):
                return True
        return False

    def _outcome(self, action: Action) -> Outcome | None:
        """The loop with an action done; None if it cannot be built or no effort is left."""
        if action not in self._known and not self._over:
            self._known[action] = self._done(action)
        return self._known.get(action)

    def _asked(self, draft: Draft) -> Iterator[Action]:
        """The candidates of a draft while effort is left: some are found by solving."""
        candidates = _once(draft.candidates())
        while not self._over and (action := self._next(candidates)) is not None:
            yield action
        if self._over:
            # Cures of other findings with this code are already known.
            yield from dict.fromkeys(self._held.get(draft.code, ()))

    def _next(self, candidates: Iterator[Action]) -> Action | None:
        """The next candidate, found within the effort that is left."""
        with allowed(self._left):
            return next(candidates, None)

    @property
    def _over(self) -> bool:
        """Whether the effort is used up."""
        return self._left < 0

    @property
    def _left(self) -> float:
        return self._limit - (effort() - self._began)

    def _done(self, action: Action) -> Outcome | None:
        try:
            moves, job = Moves.of(action, self.job), action.apply(self.job)
        except (JobError, KeyError, ValueError):
            return None  # a height or duty that no hose or pump can have
        context = look(job)
        head = self._context.point.pump_inlet.total_head
        done = (context, moves, self._judge, self.findings, head)
        return Outcome(*done) if context.settled else None


def _resting(finding: Finding) -> bool:
    """Whether a finding is about the flows of the boat at rest."""
    return finding.code == "at-rest-short" or AT_REST.items() <= finding.values.items()


def upto(level: Level) -> tuple[Level, ...]:
    """A level and those graver than it."""
    return tuple(one for one in LEVELS if graver(one, level))


def _once(actions: Iterable[Action]) -> Iterator[Action]:
    seen: set[Action] = set()
    for action in actions:
        if action not in seen:
            seen.add(action)
            yield action


def _in_vain(finding: Finding) -> Finding:
    """A finding for which every candidate was tried and none cures."""
    case = f"{finding.values.get('case') or ''} in-vain".strip()
    return replace(finding, values={**finding.values, "case": case})


def _with(finding: Finding, offers: Sequence[Offer]) -> Finding:
    """A finding with its actions, and for each the unit's resulting flow and what it brings."""
    if not offers:
        return finding
    values = dict(finding.values)
    if finding.at.unit is not None:
        values["after"] = tuple(offer.flows[finding.at.unit] for offer in offers)
    for name in ("brings", "worsens"):
        drafts = [getattr(offer, name) for offer in offers]
        if any(drafts):
            values[name] = tuple(" ".join(dict.fromkeys(d.code for d in some)) for some in drafts)
    return replace(finding, values=values, actions=tuple(offer.action for offer in offers))
