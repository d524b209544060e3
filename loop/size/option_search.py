"""Options of one pump, ruled out by flow alone or else checked in full.

Larger hoses bring more flow: to every unit without branches, nearly so with them. So a pump that
leaves a unit short with the most favorable hoses leaves it short with any (with branches, a margin
is kept). Anything shown as passing is checked in full.
"""

from collections.abc import Iterator, Mapping, Set

from loop.check.inlets import LITTLE
from loop.check.too_fast import limited_speed
from loop.margins.speed import SUCTION_MAX
from loop.parts import Manifold
from loop.records import dataclass
from loop.size.bore_search import BoreLists, BoreSearch, nearest_allowed, shifted
from loop.size.fit_choice import with_choice
from loop.size.option_flows import FlowSolver, OptionFlows
from loop.size.options import Choice, lines_to_units, present_loop
from loop.size.rules import FIXED_BY_FLOW, Judged, Reason, Rules
from loop.words.sizing import SAY

# Flow over need with the most favorable hoses below which a pump is given up: on a single line a
# proof except for table error; with branches a margin for the interaction at tees.
_HOPELESS, _HOPELESS_BRANCHED = 0.98, 0.90
# Flow over need required of an option before it is checked: the low edge of its band is about a
# tenth below the middle.
FIRST_TARGET, _TARGET_STEP, _ROUNDS = 1.10, 1.05, 4
# Most lines for which each is varied separately.
_MAX_LINES_VARIED = 8


@dataclass(frozen=True)
class Candidate:
    """An option with its check, or without one if flow alone rules it out."""

    choice: Choice
    judged: Judged | None
    short_reason: Reason | None = None

    @property
    def passes(self) -> bool:
        """Whether there is no reason against it."""
        return self.judged is not None and self.judged.passes

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """What its check finds; without a check, that it is short of flow."""
        if self.judged:
            return self.judged.reasons
        return (self.short_reason,) if self.short_reason else ()

    @property
    def said(self) -> tuple[str, ...]:
        """The reasons in words, a reason for several places only once."""
        return self.judged.said if self.judged else tuple(one.text for one in self.reasons)


class OptionSearch:
    """The options of one job that are worth considering; `known` are flows found before.

    ``checked`` are the options with a check of their own.
    """

    def __init__(self, rules: Rules, known: Mapping[Choice, OptionFlows] | None = None) -> None:
        self.rules, self.job = rules, (job := rules.job)
        self.flows = FlowSolver(job, known or {})
        self.bore_search = BoreSearch(job, self.flows)
        self.checked: set[Choice] = set()
        self._judged: dict[Choice, Judged] = {}
        self._lines_to_units, self._present = lines_to_units(job), present_loop(job)
        branched = any(isinstance(part, Manifold) for part in job.part)
        self._least_ratio = _HOPELESS_BRANCHED if branched else _HOPELESS

    def note(self, flows: Mapping[Choice, OptionFlows], checked: Set[Choice]) -> None:
        """Note the flows and checks of other searches."""
        self.flows.known |= flows
        self.checked |= checked

    def present_loop(self) -> Candidate:
        """The loop as it stands."""
        return Candidate(self._present, self.rules.judge(self.job))

    def is_present_loop(self, choice: Choice) -> bool:
        """Whether an option is identical to the loop as it stands."""
        present = self._present
        same = choice.pump == present.pump and choice.bores == present.bores
        return same and with_choice(self.job, choice).part == self.job.part

    def has_present(self, choice: Choice) -> bool:
        """Whether an option is the loop as it stands, whose check is known."""
        if not self.is_present_loop(choice):
            return False
        self.checked |= set() if self.ruled_out(choice) else {choice}
        return True

    def hopeless(self, kit: Choice, lists: BoreLists) -> Choice | None:
        """The most favorable option for a unit that is short even in it; None if there is none.

        It has the largest hose on the unit's own path, and the smallest in every other branch. A
        unit that has enough with the largest hoses everywhere also has enough there.
        """
        largest = nearest_allowed([bores[-1] for bores in lists], lists)
        smallest = [bores[0] for bores in lists]
        ratios = self.flows(kit.with_bores(largest)).flow_ratios
        best = {
            number: kit.with_bores(
                [(largest if line in lines else smallest)[line] for line in range(len(largest))]
            )
            for number, lines in enumerate(self._lines_to_units)
            if ratios[number] < self._least_ratio
        }
        for place, (number, choice) in enumerate(best.items()):
            if place == 1:  # the first tells in most cases
                self.flows.ahead(best.values())
            if self.flows(choice).flow_ratios[number] < self._least_ratio:
                return choice
        return None

    def ruled_out(self, choice: Choice) -> bool:
        """Whether flow alone rules an option out."""
        return self.flows(choice).least_ratio < self._least_ratio

    def adjusted(self, choice: Choice, lists: BoreLists, unless_vain: bool = False) -> Candidate:
        """The option checked, and adjusted in size until it passes, within limits.

        With `unless_vain`, it is left as it is if no size of hose can make it pass.
        """
        target, current = FIRST_TARGET, self.candidate(choice)
        for _ in range(_ROUNDS):
            if current.passes or current.judged is None or _inlets_too_small(current.judged):
                break
            codes = {one.code for one in current.judged.reasons}
            if unless_vain and "pump-doubtful" in codes:
                break
            if codes & FIXED_BY_FLOW:
                target *= _TARGET_STEP
                bores = self.bore_search.smallest_bores(choice, lists, current.choice.bores, target)
                better = self.candidate(choice.with_bores(bores))
            else:
                near = tuple(self.neighbors(current.choice, lists))
                self.flows.ahead(near)
                nearby = [self.candidate(one) for one in near]
                better = min([current, *nearby], key=_badness)
            if better.choice == current.choice:
                break
            current = better
        return current

    def neighbors(self, choice: Choice, lists: BoreLists) -> Iterator[Choice]:
        """The option with one line, all branches, or all lines a size larger or smaller.

        With many branches, none separately.
        """
        lines = range(len(choice.bores))
        groups: list[tuple[int, ...]] = [
            (line,) for line in lines[: None if len(lines) <= _MAX_LINES_VARIED else 2]
        ]
        groups += [tuple(lines[2:]), tuple(lines)] if len(lines) > 3 else [tuple(lines)]
        for group in groups:
            for step in (1, -1):
                bores = shifted(choice.bores, lists, group, step)
                if bores is not None:
                    yield choice.with_bores(bores)

    def candidate(self, choice: Choice) -> Candidate:
        """An option with its check; without one if flow alone rules it out."""
        if self.ruled_out(choice):
            return Candidate(choice, None, self._short_of_flow(choice))
        if choice not in self._judged:
            self.checked.add(choice)
            self._judged[choice] = self.rules.judge(
                with_choice(self.job, choice), self.flows.network(choice)
            )
        return Candidate(choice, self._judged[choice])

    def _short_of_flow(self, choice: Choice) -> Reason:
        """Too little flow, known from the flows alone."""
        ratios = self.flows(choice).flow_ratios
        ratio = min(ratios)
        name = self.job.condenser[ratios.index(ratio)].name
        text = SAY("short", self.job.units, unit=name, share=ratio)
        return Reason("flow-short", {"unit": name}, {"share": ratio}, text)


def _inlets_too_small(judged: Judged) -> bool:
    """Whether the required flow itself is too fast in the inlets, which no hose widens."""
    context = judged.context
    share = context.job.needed_flow / max(context.point.flow, 1e-12)
    fastest = max(
        (limited_speed(one.values) for one in judged.findings if one.code == "inlet-fast"),
        default=0.0,
    )
    return share * fastest > LITTLE * SUCTION_MAX


def _badness(candidate: Candidate) -> tuple[int, int, float]:
    """Distance of an option from passing: missing check, number of reasons, hose to route."""
    if candidate.judged is None:
        return 1, 0, candidate.choice.largest_bore
    return 0, len(candidate.judged.reasons), sum(candidate.choice.bores)
