"""The search over pumps: the smallest hoses with which each works, the best checked in full."""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from typing import Literal

import numpy as np

from loop.curve import Array
from loop.job import Job
from loop.size.bore_search import Bores, nearest_allowed
from loop.size.option_questions import Answer, adjusted, flows, pair
from loop.size.option_search import FIRST_TARGET, OptionSearch
from loop.size.options import Choice, bore_lists, bores_allowed, kits
from loop.size.processes import Asked
from loop.size.progress import Step
from loop.size.shortlist import Shortlist

# Up to this many combinations of pump and bores, every one is considered.
_LIST_ALL_UP_TO = 400
# Passing options wanted, and limit on the pumps checked for them.
_PASSING_WANTED, _MAX_CHECKED = 12, 40
# Limit on the pairs of pumps checked if no single pump passes.
_MAX_PAIRS = 16
# Power over the least that works above which nothing else compensates in the ranking.
_MAX_POWER_RATIO = 2.0
# Of the options that pass, how many have their neighbors checked too.
_NEIGHBORS_OF = 2
_ARRANGEMENTS: tuple[Literal["parallel", "series"], ...] = ("parallel", "series")


# The bores to choose from with each kit.
Lists = dict[Choice, tuple[tuple[float, ...], ...]]


def search_pumps(
    search: OptionSearch,
    step: Step = lambda: None,
    check: Step = lambda: None,
    list_all_up_to: int = _LIST_ALL_UP_TO,
    detailed: bool = True,
) -> Shortlist:
    """Every option worth considering, the loop as it stands first, most of them not yet checked.

    Up to `list_all_up_to` combinations of pump and bores are all considered. Unless `detailed`,
    options are described as far as needed to compare those that pass. `step` is called twice per
    kit, `check` at each check. Pumps are taken in order of their draw at the required flow: one
    that draws more than twice the least cannot be the choice (`loop.size.rank`).
    """
    job, shortlist = search.job, Shortlist(search, detailed, check)
    kits_by_power = sorted(kits(job), key=lambda kit: _pump_power(job, kit))
    lists = {kit: bore_lists(job, kit) for kit in kits_by_power}
    count = sum(math.prod(map(len, bore_list)) for bore_list in lists.values())
    if count <= list_all_up_to:
        _add_all(shortlist, lists, step)
    else:
        _add_best(shortlist, lists, step)
    if not any(shortlist.best_first()):
        _add_pairs(shortlist, kits_by_power)
    shortlist.pass_over_short()
    return shortlist


def _add_all(shortlist: Shortlist, lists: Lists, step: Step) -> None:
    """Add every combination of bores with every pump; of a pump too weak only the best."""
    search, asked = shortlist.search, []
    for kit, sizes in lists.items():
        short = search.hopeless(kit, sizes)
        every = (kit.with_bores(bores) for bores in product(*sizes) if bores_allowed(bores))
        choices = every if short is None else [short]
        others = tuple(choice for choice in choices if not search.has_present(choice))
        asked.append(search.rules.ask(flows, others))
        step()
    for answer in asked:
        shortlist.wait(answer())
        step()


def _add_best(shortlist: Shortlist, lists: Lists, step: Step) -> None:
    """Add the best options of many pumps, and their neighbors in bore."""
    search, rules = shortlist.search, shortlist.search.rules
    working, near_misses = _smallest_hoses(shortlist, lists, step)
    passing: list[Choice] = []

    def ask(choice: Choice) -> Asked[Answer]:
        step()
        name = choice.pump.name
        known = {one: of for one, of in search.flows.known.items() if one.pump.name == name}
        return rules.ask(adjusted, choice, lists[_kit_of(choice, lists)], known, shortlist.detailed)

    every = [*working, *near_misses]
    tried = 0
    for _, asked in rules.processes.in_order(ask, every[:_MAX_CHECKED]):
        answer = asked()
        shortlist.note(answer)
        passing += [answer.choice] if answer.passes else []
        tried += 1
        if len(passing) >= _PASSING_WANTED:
            break
    for choice in passing[:_NEIGHBORS_OF]:
        near = search.neighbors(choice, lists[_kit_of(choice, lists)])
        others = tuple(one for one in near if not search.is_present_loop(one))
        shortlist.wait(rules.ask(flows, others)())
    for _ in range(len(lists) - tried):
        step()
    shortlist.passed_over += len(every) - tried


def _smallest_hoses(
    shortlist: Shortlist, lists: Lists, step: Step
) -> tuple[list[Choice], list[Choice]]:
    """For each pump the smallest hoses that work, best pump first; then the pumps that nearly work.

    Those that leave a unit short in any hose are only added to the shortlist.
    """
    search = shortlist.search
    working: list[Choice] = []
    powers: list[float] = []
    near_misses: list[Choice] = []
    start = None
    for kit, sizes in lists.items():
        step()
        power = _pump_power(search.job, kit)
        if _outranked(power, powers, working):
            shortlist.passed_over += 1
            continue
        short = search.hopeless(kit, sizes)
        if short is not None:
            shortlist.wait({short: search.flows(short)})
            continue
        nearest: Bores = (
            nearest_allowed(start, sizes) if start else search.bore_search.start_bores(sizes)
        )
        start = search.bore_search.smallest_bores(kit, sizes, nearest, FIRST_TARGET)
        choice = kit.with_bores(start)
        if search.flows(choice).least_ratio >= FIRST_TARGET:
            working.append(choice)
            powers.append(power)
        else:
            near_misses.append(choice)
    order = np.argsort(_estimated_distances(powers, working), kind="stable")
    near_misses.sort(key=lambda one: -search.flows(one).least_ratio)
    return [working[i] for i in order], near_misses


def _kit_of(choice: Choice, lists: Lists) -> Choice:
    """The kit of an option, with the bores of the loop as it stands."""
    return choice.with_bores(next(iter(lists)).bores)


def _pump_power(job: Job, kit: Choice) -> float:
    """Power of a kit's pumps [W] at the flow that all units need; 0 if its file states none."""
    need = job.needed_flow
    per_pump = need / (kit.count if kit.arrangement == "parallel" else 1)
    power = kit.count * float(kit.pump.power(min(per_pump, kit.pump.last_flow)))
    return power if np.isfinite(power) else 0.0


def _estimated_distances(pump_powers: Sequence[float], choices: Sequence[Choice]) -> Array:
    """Estimated distance of each from the best in power and largest bore, before a check, (n,)."""
    if not choices:
        return np.zeros(0)
    bores = np.array([one.largest_bore for one in choices])
    powers = np.array(pump_powers)
    known = powers > 0
    least = powers[known].min() if known.any() else 1.0
    excess = np.where(known, np.minimum(powers / least - 1, 1.0), 1.0)
    return np.asarray(np.hypot(excess, np.minimum(bores / bores.min() - 1, 1.0)))


def _outranked(power: float, powers: Sequence[float], working: Sequence[Choice]) -> bool:
    """Whether a pump ranks, by power alone, behind as many working ones as are checked at most.

    Or draws so much more than the least-draw one that works that nothing else compensates.
    """
    least_power = min((one for one in powers if one), default=math.inf)
    if not power or math.isinf(least_power):
        return False
    ranked_before = np.count_nonzero(
        _estimated_distances(powers, working) < power / least_power - 1
    )
    return power > _MAX_POWER_RATIO * least_power or int(ranked_before) >= _MAX_CHECKED


def _add_pairs(shortlist: Shortlist, all_kits: Sequence[Choice]) -> None:
    """Add pairs of pumps in parallel and in series, up to the first pump of which one passes."""
    rules, job, checked = shortlist.search.rules, shortlist.search.job, 0
    pairs = [
        replace(kit, count=2, arrangement=arrangement)
        for kit in all_kits
        if kit.count == 1
        for arrangement in _ARRANGEMENTS
    ]

    def ask(kit: Choice) -> Asked[Answer]:
        return rules.ask(pair, kit, bore_lists(job, kit), shortlist.detailed)

    passes = False
    for kit, asked in rules.processes.in_order(ask, pairs):
        answer = asked()
        shortlist.note(answer)
        checked += answer.option is not None
        passes |= answer.passes
        if kit.arrangement == _ARRANGEMENTS[-1] and (checked >= _MAX_PAIRS or passes):
            break
