"""The main task: calculate a loop, judge it, and find cures."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import chain

from loop.check.air import air_findings
from loop.check.balance import all_served, balance_findings, shut_findings, surely_slow
from loop.check.bore_steps import step_findings
from loop.check.build_context import build_context
from loop.check.context import Context
from loop.check.discharge import discharge_findings
from loop.check.doubtful import doubtful_findings
from loop.check.drafts import Draft
from loop.check.dry_suction import dry_findings
from loop.check.excess_flow import excess_findings
from loop.check.flow import flow_findings
from loop.check.guesses import Finder, guess_findings
from loop.check.heat import heat_findings
from loop.check.level_suction import level_findings
from loop.check.other_tack import hardly_rises, tack_findings
from loop.check.part_order import order_findings
from loop.check.placement import place_findings
from loop.check.result import CheckResult, Verdict
from loop.check.siphon import siphon_findings, two_answers
from loop.check.speed import slow_findings, speed_findings
from loop.check.strainers import strainer_due_findings, strainer_margin_findings
from loop.check.suction import suction_findings
from loop.check.supply import supply_findings
from loop.check.through_hulls import mounting_findings, part_shut_findings, seacock_findings
from loop.check.trials import MOST_EFFORT, Trials
from loop.check.vents import vent_findings
from loop.hydraulics import Network
from loop.hydraulics.effort import effort as steps
from loop.job import Job, takes_job
from loop.words import LEVELS, Action, Finding, Level
from loop.words.cautions import cautions
from loop.words.finding import AT_REST

# Levels that count as wrong.
_WRONG: tuple[Level, ...] = ("danger", "fault", "warning")

# Dangers that come first among dangers: to people and the boat, before those to the pump.
_FIRST_DANGERS = frozenset({"supply-wrong", "seacock-missing"})

# Levels that a finder may yield, and the finder.
_Row = tuple[tuple[Level, ...], Finder]
_FINDERS: tuple[_Row, ...] = (
    # First, because all other findings depend on the figures that these question.
    (("warning", "note"), doubtful_findings),
    (("danger", "fault", "warning"), flow_findings),
    (("warning", "note"), balance_findings),
    (("warning", "note"), shut_findings),
    (("danger", "warning"), vent_findings),
    (("danger", "warning", "note"), suction_findings),
    (("danger", "warning", "note"), air_findings),
    (("warning", "note"), siphon_findings),
    (("warning", "note"), two_answers),
    (("fault", "warning"), heat_findings),
    (("warning", "note"), excess_findings),
    (("warning", "note"), part_shut_findings),
    (("warning", "note"), mounting_findings),
    (("warning", "note"), speed_findings),
    (("warning", "note"), discharge_findings),
    (("danger", "warning", "note"), order_findings),
    (("danger", "warning", "note"), supply_findings),
    (("warning", "note"), place_findings),
    (("warning",), strainer_due_findings),
    (("note",), strainer_margin_findings),
    (("warning", "note"), tack_findings),
    (("note",), slow_findings),
    (("note",), step_findings),
    (("note",), level_findings),
    (("warning", "note"), dry_findings),
)

# Order of a trial: cheap finders first, then those that need bands, last those that need balances.
_COSTLY = (
    air_findings,
    flow_findings,
    siphon_findings,
    heat_findings,
    supply_findings,
    slow_findings,
)
_COSTLIEST = (
    balance_findings,
    shut_findings,
    doubtful_findings,
    strainer_due_findings,
    excess_findings,
    strainer_margin_findings,
    tack_findings,
)
_CHEAP_FIRST = sorted(
    _FINDERS, key=lambda row: (row[1] in _COSTLIEST, row[1] in _COSTLY, row[1] is not air_findings)
)
# Order for a loop that must pass: most failures are failures of flow.
_FLOW_FIRST = sorted(
    (row for row in _CHEAP_FIRST if row[1] not in (strainer_due_findings, excess_findings)),
    key=lambda row: row[1] is not flow_findings,
)
# Finders that yield only notes where the test holds; skipped if notes are not wanted.
_ONLY_NOTES_WHERE: dict[Finder, Callable[[Context], bool]] = {
    balance_findings: all_served,
    shut_findings: surely_slow,
    tack_findings: hardly_rises,
}
# Finders for wrong heights, run again where a height was guessed.
_HEIGHT_FINDERS = (suction_findings, seacock_findings, discharge_findings)
# Finders run again with the boat at rest, where the units run: a scoop adds nothing there.
_REST_FINDERS = (suction_findings, air_findings, heat_findings)


@takes_job
def check(job: Job, fixes: bool = True) -> CheckResult:
    """Judge what a loop will do against what its condensers need, and find what is wrong with it.

    Parameters
    ----------
    job : Job
        From `loop.read_job`, or built in code.
    fixes : bool
        Look for actions that cure the findings. Without, the answer comes several times sooner.

    Returns
    -------
    CheckResult
        Operating point with its band, condensers, air, findings with actions that cure them, and
        the verdict: "good" where every condenser meets its need at the low end of the band, at
        rest and at speed, and there is no danger, fault or warning; "bad" where one misses it at
        mid-band, or there is a danger or a fault; otherwise "attention". SI units and °C.

    Notes
    -----
    Every action was tried on the whole loop: it removes its finding, for every unit at the low end
    of the band, and brings none as grave. In a network whose flows do not converge no actions are
    searched.
    """
    incremental = IncrementalCheck(job)
    return incremental.with_all_actions() if fixes else incremental.result()


def find_wrong(
    job: Job, dirty: bool = True, network: Network | None = None, excess: bool = True
) -> tuple[Context, tuple[Finding, ...]]:
    """The context of a job, and the findings of its `check` without notes and actions.

    With `dirty` false, findings about dirt are left out: the loop must work with it; with `excess`
    false, those about more water than is needed. `network` as for `build_context`.
    """
    context = build_context(job, network)
    asked: dict[Finder, bool] = {strainer_due_findings: dirty, excess_findings: excess}
    finders = [row for row in _FINDERS if asked.get(row[1], True)]
    return context, tuple(
        draft.finding for draft in _drafts_gravest_first(context, _WRONG, finders)
    )


def any_wrong(job: Job, wanted: Callable[[Finding], bool]) -> bool:
    """Whether `find_wrong` of a job, `dirty` and `excess` false, yields any wanted finding.

    Stops at the first.
    """
    context = build_context(job)
    found = chain(_drafts(context, _WRONG, _FLOW_FIRST), guess_findings(context, _HEIGHT_FINDERS))
    return any(one.level in _WRONG and wanted(one.finding) for one in found)


class IncrementalCheck:
    """A check of a job that can stop early and be continued.

    `context` is the job's, if already known; `effort` is the number of solver steps allowed for
    trials.
    """

    def __init__(
        self, job: Job, context: Context | None = None, effort: float = MOST_EFFORT
    ) -> None:
        before = steps()
        self.job, self.context = job, context or build_context(job)
        self._drafts = _drafts_gravest_first(self.context, LEVELS)
        self._findings = [draft.finding for draft in self._drafts]
        spent = steps() - before
        self._trials = Trials(
            self.context, tuple(self._findings), _drafts_cheap_first, effort - spent, spent
        )
        self._searched = 0

    def result(self) -> CheckResult:
        """The result with the actions found so far."""
        context = self.context
        return CheckResult(
            job=self.job,
            point=context.point,
            rest=None if context.at_rest is None else context.at_rest.point,
            verdict=_verdict(context, self._findings),
            pump=context.pump,
            condensers=context.condensers_fouled,
            air=context.air_paths,
            findings=tuple(self._findings),
            cautions=cautions(self.job),
        )

    def first_cure(self, levels: Sequence[Level], wanted: Callable[[Finding], bool]) -> CheckResult:
        """The result searched only up to the first wanted finding, through these levels."""
        found = False
        while not found and self._has_next(levels):
            found = wanted(self._search_next(1))
        # The remaining actions of this finding are still to be searched.
        self._searched -= found
        return self.result()

    def after(self, action: Action, effort: float = MOST_EFFORT) -> "IncrementalCheck":
        """The check of the job with one of its actions done."""
        return IncrementalCheck(action.apply(self.job), self._trials.context_after(action), effort)

    def with_grave_actions(self) -> CheckResult:
        """The result with actions for all findings except notes."""
        while self._has_next(_WRONG):
            self._search_next()
        return self.result()

    def with_all_actions(self) -> CheckResult:
        """The result with actions for all findings."""
        while self._has_next(LEVELS):
            self._search_next()
        return self.result()

    def _has_next(self, levels: Sequence[Level]) -> bool:
        """Whether the next finding to be searched for actions is of one of these levels."""
        left = self._drafts[self._searched :]
        return self.context.settled and bool(left) and left[0].level in levels

    def _search_next(self, most: int | None = None) -> Finding:
        number = self._searched
        self._searched += 1
        self._findings[number] = self._trials.with_actions(self._drafts[number], most)
        return self._findings[number]


def _drafts_gravest_first(
    context: Context, levels: Sequence[Level], finders: Sequence[_Row] = _FINDERS
) -> list[Draft]:
    """Drafts of these levels, gravest first; of dangers those to people and the boat."""
    drafts = [*_drafts(context, levels, finders), *guess_findings(context, _HEIGHT_FINDERS)]
    return sorted(
        (d for d in drafts if d.level in levels),
        key=lambda d: (LEVELS.index(d.level), d.level == "danger" and d.code not in _FIRST_DANGERS),
    )


def _drafts_cheap_first(context: Context, levels: Sequence[Level]) -> Iterator[Draft]:
    """Drafts of these levels, cheapest finders first."""
    for draft in _drafts(context, levels, _CHEAP_FIRST):
        if draft.level in levels:
            yield draft


def _drafts(
    context: Context, levels: Sequence[Level], finders: Sequence[_Row] = _FINDERS
) -> Iterator[Draft]:
    seen = set()
    for possible, finder in finders:
        light = (
            "note" not in levels
            and finder in _ONLY_NOTES_WHERE
            and _ONLY_NOTES_WHERE[finder](context)
        )
        if not light and any(level in levels for level in possible):
            for found in finder(context):
                seen.add((found.code, found.at))
                yield found
    if context.at_rest is None:
        return
    for possible, finder in finders:
        if finder in _REST_FINDERS and any(level in levels for level in possible):
            for found in finder(context.at_rest):
                if found.level != "note" and (found.code, found.at) not in seen:
                    yield replace(found, values={**found.values, **AT_REST})


def _verdict(context: Context, findings: Sequence[Finding]) -> Verdict:
    levels = {finding.level for finding in findings}
    if context.any_short or levels & {"danger", "fault"}:
        return "bad"
    return "attention" if context.any_marginal or "warning" in levels else "good"
