"""The search: for each pump the smallest hoses that serve, found on flows, then checked whole.

Larger hoses bring more flow, to every unit of a loop without branches and nearly so with them. So
a pump that leaves a unit short in the most favourable hoses leaves it short in all (with branches a
margin is left). What is shown as passing is checked whole.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import product

import numpy as np

from loop.job import Job
from loop.parts import Manifold
from loop.records import dataclass
from loop.size.fast import Flows
from loop.size.options import Choice, allowed, applied, as_it_stands, bore_lists, kits, lines_to
from loop.size.rules import Judged, Reason, Rules
from loop.size.walk import Bores, Lists, Walk, fitted, moved

# With no more combinations of pump and bores than this every one is checked, and shown.
_FEW = 400
# Flow over need in the most favourable hoses below which a pump is given up: on a single line that
# is a proof but for the tables' error; with branches the tees' pull is left a margin.
_HOPELESS, _HOPELESS_BRANCHED = 0.98, 0.90
# Flow over need asked of an option before it is checked: the low edge of its band lies some tenth
# below the middle.
_FIRST_TARGET, _RAISE, _ROUNDS = 1.10, 1.05, 4
# Options that pass which are wanted, and pumps that are checked for them, at most.
_WANTED, _MOST_CHECKED = 12, 40
# Power over the least that serves past which nothing else outweighs it in the order of options.
_FAR = 2.0
# Of the options that pass, those whose neighbors are checked too.
_LOOKED_AROUND = 2

Step = Callable[[], None]


@dataclass(frozen=True)
class Candidate:
    """An option with its check, or without one where flow alone rules it out."""

    choice: Choice
    judged: Judged | None
    short: Reason | None = None

    @property
    def passes(self) -> bool:
        """Whether nothing speaks against it."""
        return self.judged is not None and self.judged.passes


class Search:
    """The options of one job that are worth a look."""

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
        """Whether an option is the loop as it stands under another name."""
        here = self._here
        same = choice.pump == here.pump and choice.bores == here.bores
        return same and applied(self.job, choice).part == self.job.part

    def every(self, kit: Choice, lists: Lists) -> Iterator[Candidate]:
        """Every combination of bores with one pump."""
        for bores in product(*lists):
            if allowed(bores):
                yield self.candidate(kit.with_bores(bores))

    def hopeless(self, kit: Choice, lists: Lists) -> Candidate | None:
        """The most favourable option for a unit that is short even in it; None where none is.

        That is the largest hose on the unit's own way, and the smallest in every other branch.
        """
        largest = fitted([some[-1] for some in lists], lists)
        smallest = [some[0] for some in lists]
        for number, way in enumerate(self._ways):
            best = [(largest if line in way else smallest)[line] for line in range(len(largest))]
            choice = kit.with_bores(best)
            if self.flows(choice).shares[number] < self._enough:
                return Candidate(choice, None, self._short(choice))
        return None

    def settled(self, choice: Choice, lists: Lists) -> Candidate:
        """The option checked, and made larger or smaller until it passes, within reason."""
        target, found = _FIRST_TARGET, self.candidate(choice)
        for _ in range(_ROUNDS):
            if found.passes or found.judged is None:
                break
            codes = {one.code for one in found.judged.reasons}
            if codes & {"flow-short", "flow-marginal", "at-rest-short", "no-flow"}:
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
        """The option with one line a size larger or smaller, or all branches, or all lines."""
        lines = range(len(choice.bores))
        groups: list[tuple[int, ...]] = [(line,) for line in lines]
        groups += [tuple(lines[2:]), tuple(lines)] if len(lines) > 3 else [tuple(lines)]
        for group in groups:
            for step in (1, -1):
                bores = moved(choice.bores, lists, group, step)
                if bores is not None:
                    yield choice.with_bores(bores)

    def candidate(self, choice: Choice) -> Candidate:
        """An option with its check; without one where flow alone rules it out."""
        if self.flows(choice).share < self._enough:
            return Candidate(choice, None, self._short(choice))
        if choice not in self._judged:
            self.checks += 1
            self._judged[choice] = self.rules.judge(applied(self.job, choice))
        return Candidate(choice, self._judged[choice])

    def _short(self, choice: Choice) -> Reason:
        """Too little flow, known from the flows alone."""
        shares = self.flows(choice).shares
        share = min(shares)
        name = self.job.condenser[shares.index(share)].name
        text = f"{name} gets {share:.0%} of the flow that it needs"
        return Reason("flow-short", {"unit": name}, {"share": share}, text)


def searched(job: Job, search: Search, step: Step) -> tuple[list[Candidate], int]:
    """Every option that is worth a look, the loop as it stands first; and how many pumps not.

    `step` is called twice a pump. Pumps are taken by what they draw at the flow that is needed: one
    that draws more than twice what the thriftiest does cannot be the choice (`loop.size.rank`).
    """
    every = sorted(kits(job), key=lambda kit: _draw(job, kit))
    lists = {kit: bore_lists(job, kit) for kit in every}
    found = {(first := search.as_is()).choice: first}
    count = sum(math.prod(map(len, some)) for some in lists.values())
    if count <= _FEW:
        over = 0
        for kit in every:
            short = search.hopeless(kit, lists[kit])
            options = [short] if short else search.every(kit, lists[kit])
            found |= {one.choice: one for one in options if not search.is_as_is(one.choice)}
            step()
            step()
    else:
        over = _best(job, search, lists, found, step)
    if not any(candidate.passes for candidate in found.values()):
        found |= _pairs(search, every)
    return list(found.values()), over


def _best(
    job: Job,
    search: Search,
    lists: dict[Choice, tuple[tuple[float, ...], ...]],
    found: dict[Choice, Candidate],
    step: Step,
) -> int:
    """Fills `found` with the best options of many pumps; gives how many pumps were passed over."""
    serving: list[Choice] = []
    over, least, start = 0, math.inf, None
    for kit, some in lists.items():
        step()
        if _draw(job, kit) > _FAR * least:
            over += 1
            continue
        short = search.hopeless(kit, some)
        if short is not None:
            found[short.choice] = short
            continue
        near: Bores = fitted(start, some) if start else search.walk.start(some)
        start = search.walk.smallest(kit, some, near, _FIRST_TARGET)
        serving.append(kit.with_bores(start))
        if search.flows(serving[-1]).share >= _FIRST_TARGET:
            least = min(least, _draw(job, kit) or math.inf)
    passing: list[Choice] = []
    for number, choice in enumerate(sorted(serving, key=lambda one: _estimate(job, one, serving))):
        step()
        if len(passing) >= _WANTED or number >= _MOST_CHECKED:
            over += 1
            continue
        one = search.settled(choice, lists[_kit_of(choice, lists)])
        if not search.is_as_is(one.choice):
            found[one.choice] = one
        passing += [one.choice] if one.passes else []
    for choice in passing[:_LOOKED_AROUND]:
        for beside in search.around(choice, lists[_kit_of(choice, lists)]):
            if not search.is_as_is(beside):
                found[beside] = search.candidate(beside)
    for _ in range(len(lists) - len(serving)):
        step()
    return over


def _kit_of(choice: Choice, lists: dict[Choice, tuple[tuple[float, ...], ...]]) -> Choice:
    """The kit of an option, whose bores are those of the loop as it stands."""
    return choice.with_bores(next(iter(lists)).bores)


def _draw(job: Job, kit: Choice) -> float:
    """Power of a kit's pumps [W] at the flow that all units need; 0 where its file states none."""
    need = sum(unit.needed_flow for unit in job.condenser)
    each = need / (kit.count if kit.arrangement == "parallel" else 1)
    power = kit.count * float(kit.pump.power(min(each, kit.pump.last_flow)))
    return power if np.isfinite(power) else 0.0


def _estimate(job: Job, choice: Choice, among: Sequence[Choice]) -> float:
    """About how far an option is from the best in power and largest bore, before it is checked."""
    powers = [_draw(job, one) or math.inf for one in among]
    least, smallest = min(powers), min(one.largest_bore for one in among)
    power = _draw(job, choice)
    over = min(power / least - 1, 1.0) if power and math.isfinite(least) else 1.0
    return math.hypot(over, min(choice.largest_bore / smallest - 1, 1.0))


def _pairs(search: Search, every: Sequence[Choice]) -> dict[Choice, Candidate]:
    """Two pumps side by side or in line, where no single one passes: the first pump that does."""
    found: dict[Choice, Candidate] = {}
    for kit in [one for one in every if one.count == 1][:_MOST_CHECKED]:
        lists = bore_lists(search.job, kit)
        for arrangement in ("parallel", "series"):
            pair = replace(kit, count=2, arrangement=arrangement)
            one = search.hopeless(pair, lists)
            if one is None:
                start = search.walk.start(lists)
                bores = search.walk.smallest(pair, lists, start, _FIRST_TARGET)
                one = search.settled(pair.with_bores(bores), lists)
            found[one.choice] = one
        if any(candidate.passes for candidate in found.values()):
            break
    return found


def _badness(candidate: Candidate) -> tuple[int, int, float]:
    """How far an option is from passing: a check that is missing, reasons, hose to be routed."""
    if candidate.judged is None:
        return 1, 0, candidate.choice.largest_bore
    return 0, len(candidate.judged.reasons), sum(candidate.choice.bores)
