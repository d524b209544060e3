"""Options of one pump, ruled out by flow alone or else checked in full.

Larger hoses bring more flow: to every unit without branches, nearly so with them. So a pump that
leaves a unit short with the most favorable hoses leaves it short with any (with branches, a margin
is kept). Anything shown as passing is checked in full.
"""

from collections.abc import Iterator
from itertools import product

from loop.check.inlets import LITTLE
from loop.check.too_fast import speed_over
from loop.job import Job
from loop.margins.speed import SUCTION_MAX
from loop.parts import Manifold
from loop.records import dataclass
from loop.size.fast import Flows
from loop.size.fitting import applied
from loop.size.options import Choice, allowed, as_it_stands, lines_to
from loop.size.rules import OF_FLOW, Judged, Reason, Rules
from loop.size.walk import Lists, Walk, fitted, moved
from loop.words.sizing import SAY

# Flow over need with the most favorable hoses below which a pump is given up: on a single line a
# proof except for table error; with branches a margin for the interaction at tees.
_HOPELESS, _HOPELESS_BRANCHED = 0.98, 0.90
# Flow over need required of an option before it is checked: the low edge of its band is about a
# tenth below the middle.
FIRST_TARGET, _RAISE, _ROUNDS = 1.10, 1.05, 4
# Most lines for which each is varied separately.
_FEW = 8


@dataclass(frozen=True)
class Candidate:
    """An option with its check, or without one if flow alone rules it out."""

    choice: Choice
    judged: Judged | None
    short: Reason | None = None

    @property
    def passes(self) -> bool:
        """Whether there is no reason against it."""
        return self.judged is not None and self.judged.passes

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """What its check finds; without a check, that it is short of flow."""
        if self.judged:
            return self.judged.reasons
        return (self.short,) if self.short else ()

    @property
    def said(self) -> tuple[str, ...]:
        """The reasons in words, a reason for several places only once."""
        return self.judged.said if self.judged else tuple(one.text for one in self.reasons)


class Search:
    """The options of one job that are worth considering."""

    def __init__(self, job: Job, rules: Rules) -> None:
        self.job, self.rules = job, rules
        self.flows = Flows(job)
        self.walk = Walk(job, self.flows)
        self.checks = 0
        self._judged: dict[Choice, Judged] = {}
        self._ways, self._here = lines_to(job), as_it_stands(job)
        branched = any(isinstance(part, Manifold) for part in job.part)
        self._enough = _HOPELESS_BRANCHED if branched else _HOPELESS

    def as_is(self) -> Candidate:
        """The loop as it stands."""
        return Candidate(self._here, self.rules.judge(self.job))

    def is_as_is(self, choice: Choice) -> bool:
        """Whether an option is identical to the loop as it stands."""
        here = self._here
        same = choice.pump == here.pump and choice.bores == here.bores
        return same and applied(self.job, choice).part == self.job.part

    def every(self, kit: Choice, lists: Lists) -> Iterator[Candidate]:
        """Every combination of bores with one pump."""
        for bores in product(*lists):
            if allowed(bores):
                yield self.candidate(kit.with_bores(bores))

    def hopeless(self, kit: Choice, lists: Lists) -> Candidate | None:
        """The most favorable option for a unit that is short even in it; None if there is none.

        It has the largest hose on the unit's own path, and the smallest in every other branch. A
        unit that has enough with the largest hoses everywhere also has enough there.
        """
        largest = fitted([some[-1] for some in lists], lists)
        smallest = [some[0] for some in lists]
        shares = self.flows(kit.with_bores(largest)).shares
        for number, way in enumerate(self._ways):
            if shares[number] >= self._enough:
                continue
            best = [(largest if line in way else smallest)[line] for line in range(len(largest))]
            choice = kit.with_bores(best)
            if self.flows(choice).shares[number] < self._enough:
                return Candidate(choice, None, self._short(choice))
        return None

    def settled(self, choice: Choice, lists: Lists) -> Candidate:
        """The option checked, and adjusted in size until it passes, within limits."""
        target, found = FIRST_TARGET, self.candidate(choice)
        for _ in range(_ROUNDS):
            if found.passes or found.judged is None or _stuck(found.judged):
                break
            if {one.code for one in found.judged.reasons} & OF_FLOW:
                target *= _RAISE
                bores = self.walk.smallest(choice, lists, found.choice.bores, target)
                larger = self.candidate(choice.with_bores(bores))
            else:
                beside = [self.candidate(c) for c in self.around(found.choice, lists)]
                larger = min([found, *beside], key=_badness)
            if larger.choice == found.choice:
                break
            found = larger
        return found

    def around(self, choice: Choice, lists: Lists) -> Iterator[Choice]:
        """The option with one line, all branches, or all lines a size larger or smaller.

        With many branches, none separately.
        """
        lines = range(len(choice.bores))
        groups: list[tuple[int, ...]] = [
            (line,) for line in lines[: None if len(lines) <= _FEW else 2]
        ]
        groups += [tuple(lines[2:]), tuple(lines)] if len(lines) > 3 else [tuple(lines)]
        for group in groups:
            for step in (1, -1):
                bores = moved(choice.bores, lists, group, step)
                if bores is not None:
                    yield choice.with_bores(bores)

    def candidate(self, choice: Choice) -> Candidate:
        """An option with its check; without one if flow alone rules it out."""
        if self.flows(choice).share < self._enough:
            return Candidate(choice, None, self._short(choice))
        if choice not in self._judged:
            self.checks += 1
            self._judged[choice] = self.rules.judge(
                applied(self.job, choice), self.flows.network(choice)
            )
        return Candidate(choice, self._judged[choice])

    def _short(self, choice: Choice) -> Reason:
        """Too little flow, known from the flows alone."""
        shares = self.flows(choice).shares
        share = min(shares)
        name = self.job.condenser[shares.index(share)].name
        text = SAY("short", self.job.units, unit=name, share=share)
        return Reason("flow-short", {"unit": name}, {"share": share}, text)


def _stuck(judged: Judged) -> bool:
    """Whether the required flow itself is too fast in the inlets, which no hose widens."""
    context = judged.context
    share = context.job.needed_flow / max(context.point.flow, 1e-12)
    fastest = max(
        (speed_over(one.values) for one in judged.findings if one.code == "inlet-fast"), default=0.0
    )
    return share * fastest > LITTLE * SUCTION_MAX


def _badness(candidate: Candidate) -> tuple[int, int, float]:
    """Distance of an option from passing: missing check, number of reasons, hose to route."""
    if candidate.judged is None:
        return 1, 0, candidate.choice.largest_bore
    return 0, len(candidate.judged.reasons), sum(candidate.choice.bores)
