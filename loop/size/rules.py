"""Whether an option passes: its check at the worst service decides, and nothing else."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import field, replace
from functools import cached_property
from typing import Any, TypeVar

from loop.check import CheckResult
from loop.check.context import Context
from loop.check.inlets import inlets_fast
from loop.check.judge import IncrementalCheck, any_wrong, find_wrong
from loop.check.too_fast import fastest, is_faster
from loop.hydraulics import Network, solve
from loop.job import Job
from loop.records import dataclass
from loop.size.chances import Chances
from loop.size.corrections import corrected, corrections
from loop.size.processes import Asked, Processes
from loop.size.worst_case import at_worst_service
from loop.words import Finding, Level, Place, say
from loop.words.finding import AS_IT_STANDS
from loop.words.grouping import groups

T = TypeVar("T")

# Findings that another hose, pump, seacock or strainer may cure. All others depend on where things
# are: no size fixes an intake that is too shallow.
FIXED_BY_SIZE = frozenset(
    {
        "air-held",
        "beyond-curve",
        "boiling",
        "cannot-balance",
        "cavitation",
        "condensing-high",
        "flow-marginal",
        "flow-short",
        "hose-fast",
        "hose-slow",
        "near-shutoff",
        "no-flow",
        "not-settled",
        "pump-above-water",
        "at-rest-short",
        "siphon-uncertain",
        "start-head-short",
        "suction-fast",
        "supply-charging",
        "supply-wrong",
        "tube-fast",
        "two-answers",
        "unbalanced",
    }
)
# Findings that question what the file states: a choice based on it does not answer them.
DOUBTS = frozenset(
    {
        "approach-doubtful",
        "baseline-doubtful",
        "bore-doubtful",
        "guessed",
        "hose-short",
        "limit-unstated",
        "loss-doubtful",
        "need-doubtful",
        "place-unstated",
        "pump-doubtful",
        "rise-unstated",
    }
)
# Findings that rule no option out, even if the loop as it stands does not have them. A pump that is
# too large still serves: if no size is small enough, this is reported. A unit with too little water
# is not yet too cold, nor hot from its scale alone.
_ALWAYS_ASIDE = frozenset({"flow-excess", "condensing-low", "condenser-fouled"})
# Findings that more water cures.
FIXED_BY_FLOW = frozenset(
    {"no-flow", "flow-short", "flow-marginal", "at-rest-short", "supply-charging"}
)
# Cases that need different piping or another unit, whatever pump and hose are fitted.
_NEEDS_PIPING = frozenset({("condensing-high", "alone")})
# Cases that only another unit resolves: its required flow is itself too fast for its tube, or a
# poor condenser comes to its limit.
_NEEDS_UNIT = frozenset({("tube-fast", "narrow"), ("condensing-high", "poor")})
GRAVE: tuple[Level, ...] = ("danger", "fault", "warning")


@dataclass(frozen=True)
class Reason:
    """Why an option fails: a finding's code, its place, its values, and the same in words."""

    code: str
    at: Mapping[str, Any] = field(hash=False)
    values: Mapping[str, Any] = field(hash=False)
    text: str


@dataclass(frozen=True)
class Judged:
    """The context of an option at its worst service, and why it fails, if it does.

    ``findings`` are the reasons as the check found them.
    """

    context: Context
    reasons: tuple[Reason, ...]
    findings: tuple[Finding, ...]

    @property
    def said(self) -> tuple[str, ...]:
        """The reasons in words, a reason for several places only once."""
        every = groups(self.findings, self.context.job)
        return tuple(text for group in every for text in group.messages)

    @property
    def passes(self) -> bool:
        """Whether nothing is wrong that its sizes might fix."""
        return not self.reasons


def worst_case_findings(job: Job) -> tuple[Context, tuple[Finding, ...]]:
    """The context of a job at its worst service, and what is wrong with it, strainer-due aside."""
    return find_wrong(at_worst_service(job), dirty=False)


class Rules:
    """The rules by which the options of one job are judged.

    ``job`` is the loop as it stands once the actions in ``first`` are done; every option is judged
    on it. ``aside`` are its findings that no size fixes, reported with the answer; ``aside_codes``
    are the codes that rule no option out. ``chances`` estimates the chances. ``processes`` share
    the work: each makes the rules of its own.
    """

    def __init__(
        self, job: Job, chances: Chances | None = None, processes: Processes | None = None
    ) -> None:
        self.as_found, self.processes = job, processes or Processes()
        self._asked: dict[tuple[Callable[..., Any], tuple[Any, ...]], Asked[Any]] = {}
        self.chances, self.first = chances or Chances(), corrections(job)
        self.processes.share(self)
        self.job = job = corrected(job, self.first)
        self._context, self.findings = worst_case_findings(job)
        codes = FIXED_BY_SIZE | {"inlet-fast"} if job.sizing.seacock_bores else FIXED_BY_SIZE
        self.aside = tuple(
            one for one in self.findings if one.code not in codes or _has_case(one, _NEEDS_UNIT)
        )
        self.aside_codes = {one.code for one in self.aside if one.code not in codes} | _ALWAYS_ASIDE
        self._inlets_kept_slow = bool(job.sizing.seacock_bores) or not any(
            inlets_fast(self._context)
        )

    def ask(self, work: Callable[..., T], *given: Any, long: bool = False) -> Asked[T]:
        """Ask for ``work(rules, *given)`` of whichever process is free (`loop.size.processes`)."""
        return self.processes.ask(work, *given, long=long)

    def ask_once(self, work: Callable[..., T], *given: Any, long: bool = False) -> Asked[T]:
        """The same for what may be asked again."""
        if (work, given) not in self._asked:
            self._asked[work, given] = self.ask(work, *given, long=long)
        return self._asked[work, given]

    def __reduce__(self) -> tuple[type["Rules"], tuple[Job, Chances]]:
        """What other processes make their own rules of."""
        return Rules, (self.as_found, self.chances)

    @cached_property
    def _as_found(self) -> tuple[Context, tuple[Finding, ...]]:
        """Context and findings of the loop as it stands, as new."""
        return find_wrong(self.job)

    @cached_property
    def present_power(self) -> float:
        """Power of the pump as the loop stands [W]."""
        return solve(self.job).power

    @cached_property
    def passes_already(self) -> bool:
        """Whether the loop as it stands passes, with the required chance."""
        return all(map(self.is_aside, self.findings)) and self.likely_enough(self.job)

    def is_aside(self, finding: Finding) -> bool:
        """Whether a finding rules no option out."""
        return finding.code in self.aside_codes or _has_case(finding, _NEEDS_UNIT)

    @property
    def lacks_flow(self) -> bool:
        """Whether the loop as it stands lacks water, or is too unlikely to have enough."""
        return not self.likely_enough(self.job) or any(
            one.code in FIXED_BY_FLOW or (one.code == "condensing-high" and "short" in _cases(one))
            for one in self.findings
        )

    def advised(self, fixed: bool) -> tuple[Finding, ...]:
        """Check findings on the loop as it stands that changes of size cannot resolve as well.

        If sizes fix it, or it lacks water, only those that need different piping.
        """
        if self.passes_already:
            return ()
        wrong = (one for one in self.ask_once(advice, long=True)() if not self.is_aside(one))
        report_all = not fixed and not self.lacks_flow
        return tuple(one for one in wrong if report_all or _has_case(one, _NEEDS_PIPING))

    def passes(self, option: Job) -> bool:
        """Whether `judge` finds no reason; stops at the first."""
        return not any_wrong(at_worst_service(option), lambda one: not self.is_aside(one))

    def likely_enough(self, option: Job) -> bool:
        """Whether each unit gets its water with the required chance."""
        return self.chances.least(option) >= self.job.sizing.confidence

    def accepts(self, option: Job) -> bool:
        """Whether the option passes and every unit gets its water with the required chance."""
        return self.passes(option) and self.likely_enough(option)

    def worsens(self, option: Job) -> bool:
        """Whether an option makes water faster where it is too fast and no size may change."""
        before = fastest(self.aside)
        if not before:
            return False
        now = fastest(worst_case_findings(option)[1])
        return any(is_faster(now.get(code, 0.0), speed) for code, speed in before.items())

    def judge(self, option: Job, network: Network | None = None) -> Judged:
        """What a check finds wrong with a fitted option at its worst service."""
        if option is self.job:
            context, found = self._context, self.findings
        else:
            worst = at_worst_service(option)
            # More water than is needed rules nothing out.
            context, found = find_wrong(worst, dirty=False, network=network, excess=False)
        remaining = tuple(one for one in found if not self.is_aside(one))
        reasons_by_text = {one.text: one for one in (reason(one, context.job) for one in remaining)}
        return Judged(context, tuple(reasons_by_text.values()), remaining)

    def as_new(self, option: Job, may_wait: bool = False) -> tuple[Context, tuple[str, ...]]:
        """Context of an option as new, and codes of what is then wrong, which lower its rank.

        With `may_wait`, an inlet may wait for the next haul-out, as in a check. Otherwise new
        purchases must not make the water too fast there, unless it already is and inlets are not
        chosen.
        """
        as_found = option is self.job
        context, found = self._as_found if as_found else find_wrong(option, excess=False)
        slow = all(one.code != "inlet-fast" for one in found)
        if self._inlets_kept_slow and not may_wait and slow:
            found += tuple(one.finding for one in inlets_fast(context, waits=False))
        remaining = (one.code for one in found if not self.is_aside(one))
        return context, tuple(dict.fromkeys(remaining))

    def not_fixed_by_size(self, chosen: Job) -> tuple[Finding, ...]:
        """What no size fixes: findings set aside, with an option fitted, and doubts.

        At its worst service and as new; also doubts about the loop as it stands, marked as such.
        """
        found: dict[tuple[str, Place], Finding] = {}
        for job, (_, wrong) in (
            (at_worst_service(chosen), worst_case_findings(chosen)),
            (chosen, find_wrong(chosen)),
        ):
            codes = {one.code for one in wrong if self.is_aside(one)}
            if codes:
                for one in grave(IncrementalCheck(job).with_grave_actions()):
                    if one.code in codes and self.is_aside(one):
                        found.setdefault((one.code, one.at), one)
        for wrong in (self.findings, self._as_found[1]):
            for one in wrong:
                if one.code in DOUBTS:
                    marked = replace(one, values={**one.values, **AS_IT_STANDS})
                    found.setdefault((one.code, one.at), marked)
        return tuple(found.values())


def _has_case(finding: Finding, cases: Collection[tuple[str, str]]) -> bool:
    """Whether a finding has one of these codes with one of these cases."""
    return any((finding.code, case) in cases for case in _cases(finding))


def _cases(finding: Finding) -> list[str]:
    """The cases of a finding."""
    return str(finding.values.get("case", "")).split()


def advice(rules: Rules, job: Job | None = None) -> tuple[Finding, ...]:
    """Grave findings about a job at its worst service, with actions; the loop as it stands."""
    return grave(IncrementalCheck(at_worst_service(job or rules.job)).with_grave_actions())


def grave(result: CheckResult) -> tuple[Finding, ...]:
    """The findings for which a loop is not good."""
    return tuple(one for one in result.findings if one.level in GRAVE)


def reason(finding: Finding, job: Job) -> Reason:
    """A finding about a job as a reason for failing."""
    table = finding.to_dict()
    return Reason(finding.code, table["at"], table["values"], say(finding, job).message)
