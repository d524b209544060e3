"""The search over pumps: the smallest hoses with which each works, the best checked in full."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.job import Job
from loop.size.options import Choice, bore_lists, kits
from loop.size.progress import Step
from loop.size.search import FIRST_TARGET, Candidate, Search
from loop.size.walk import Bores, fitted

# Up to this many combinations of pump and bores, every one is checked and shown.
_FEW = 400
# Passing options wanted, and limit on the pumps checked for them.
_WANTED, _MOST_CHECKED = 12, 40
# Limit on the pairs of pumps checked if no single pump passes.
_MOST_PAIRS = 16
# Power over the least that works above which nothing else compensates in the ranking.
_FAR = 2.0
# Of the options that flow alone rules out, how many of the nearest are reported.
_MOST_SHORT = 40
# Of the options that pass, how many have their neighbors checked too.
_LOOKED_AROUND = 2


def searched(job: Job, search: Search, step: Step, few: int = _FEW) -> tuple[list[Candidate], int]:
    """Every option worth considering, the loop as it stands first; and how many were passed over.

    With up to `few` combinations of pump and bores every one is checked. `step` is called twice per
    kit. Pumps are taken in order of their draw at the required flow: one that draws more than twice
    the least cannot be the choice (`loop.size.rank`).
    """
    every = sorted(kits(job), key=lambda kit: _draw(job, kit))
    lists = {kit: bore_lists(job, kit) for kit in every}
    found = {(first := search.as_is()).choice: first}
    count = sum(math.prod(map(len, some)) for some in lists.values())
    if count <= few:
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
    by_flow = [one.choice for one in found.values() if one.judged is None]
    far = sorted(by_flow, key=lambda choice: -search.flows(choice).share)[_MOST_SHORT:]
    for choice in far:
        del found[choice]
    return list(found.values()), over + len(far)


def _best(
    job: Job,
    search: Search,
    lists: dict[Choice, tuple[tuple[float, ...], ...]],
    found: dict[Choice, Candidate],
    step: Step,
) -> int:
    """Add the best options of many pumps to `found`; return how many pumps were passed over."""
    serving, near, over = _walked(job, search, lists, found, step)
    passing: list[Choice] = []
    for number, choice in enumerate([*serving, *near]):
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
    for _ in range(len(lists) - len(serving) - len(near)):
        step()
    return over


def _walked(
    job: Job,
    search: Search,
    lists: dict[Choice, tuple[tuple[float, ...], ...]],
    found: dict[Choice, Candidate],
    step: Step,
) -> tuple[list[Choice], list[Choice], int]:
    """For each pump the smallest hoses that work, best pump first; then the pumps that nearly work.

    And how many pumps were passed over. Adds to `found` those that leave a unit short in any hose.
    """
    serving: list[Choice] = []
    draws: list[float] = []
    near: list[Choice] = []
    over, start = 0, None
    for kit, some in lists.items():
        step()
        draw = _draw(job, kit)
        if _outdone(draw, draws, serving):
            over += 1
            continue
        short = search.hopeless(kit, some)
        if short is not None:
            found[short.choice] = short
            continue
        here: Bores = fitted(start, some) if start else search.walk.start(some)
        start = search.walk.smallest(kit, some, here, FIRST_TARGET)
        choice = kit.with_bores(start)
        if search.flows(choice).share >= FIRST_TARGET:
            serving.append(choice)
            draws.append(draw)
        else:
            near.append(choice)
    order = np.argsort(_estimates(draws, serving), kind="stable")
    near.sort(key=lambda one: -search.flows(one).share)
    return [serving[i] for i in order], near, over


def _kit_of(choice: Choice, lists: dict[Choice, tuple[tuple[float, ...], ...]]) -> Choice:
    """The kit of an option, with the bores of the loop as it stands."""
    return choice.with_bores(next(iter(lists)).bores)


def _draw(job: Job, kit: Choice) -> float:
    """Power of a kit's pumps [W] at the flow that all units need; 0 if its file states none."""
    need = job.needed_flow
    each = need / (kit.count if kit.arrangement == "parallel" else 1)
    power = kit.count * float(kit.pump.power(min(each, kit.pump.last_flow)))
    return power if np.isfinite(power) else 0.0


def _estimates(draws: Sequence[float], choices: Sequence[Choice]) -> Array:
    """Estimated distance of each from the best in power and largest bore, before a check, (n,)."""
    if not choices:
        return np.zeros(0)
    bores = np.array([one.largest_bore for one in choices])
    powers = np.array(draws)
    known = powers > 0
    least = powers[known].min() if known.any() else 1.0
    over = np.where(known, np.minimum(powers / least - 1, 1.0), 1.0)
    return np.asarray(np.hypot(over, np.minimum(bores / bores.min() - 1, 1.0)))


def _outdone(draw: float, draws: Sequence[float], serving: Sequence[Choice]) -> bool:
    """Whether a pump ranks, by power alone, behind as many working ones as are checked at most.

    Or draws so much more than the least-draw one that works that nothing else compensates.
    """
    least = min((one for one in draws if one), default=math.inf)
    if not draw or math.isinf(least):
        return False
    before = np.count_nonzero(_estimates(draws, serving) < draw / least - 1)
    return draw > _FAR * least or int(before) >= _MOST_CHECKED


def _pairs(search: Search, every: Sequence[Choice]) -> dict[Choice, Candidate]:
    """Two pumps in parallel or in series, if no single one passes: up to the first that does."""
    found: dict[Choice, Candidate] = {}
    for kit in (one for one in every if one.count == 1):
        lists = bore_lists(search.job, kit)
        for arrangement in ("parallel", "series"):
            pair = replace(kit, count=2, arrangement=arrangement)
            one = search.hopeless(pair, lists)
            if one is None:
                start = search.walk.start(lists)
                bores = search.walk.smallest(pair, lists, start, FIRST_TARGET)
                one = search.settled(pair.with_bores(bores), lists)
            found[one.choice] = one
        checked = [one for one in found.values() if one.judged]
        if len(checked) >= _MOST_PAIRS or any(one.passes for one in checked):
            break
    return found
