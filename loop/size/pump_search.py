"""The search over pumps: the smallest hoses with which each works, the best checked in full."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.job import Job
from loop.size.bore_search import Bores, nearest_allowed
from loop.size.option_search import FIRST_TARGET, Candidate, OptionSearch
from loop.size.options import Choice, bore_lists, kits
from loop.size.progress import Step

# Up to this many combinations of pump and bores, every one is checked and shown.
_LIST_ALL_UP_TO = 400
# Passing options wanted, and limit on the pumps checked for them.
_PASSING_WANTED, _MAX_CHECKED = 12, 40
# Limit on the pairs of pumps checked if no single pump passes.
_MAX_PAIRS = 16
# Power over the least that works above which nothing else compensates in the ranking.
_MAX_POWER_RATIO = 2.0
# Of the options that flow alone rules out, how many of the nearest are reported.
_MAX_SHORT = 40
# Of the options that pass, how many have their neighbors checked too.
_NEIGHBORS_OF = 2


def search_pumps(
    job: Job, search: OptionSearch, step: Step, list_all_up_to: int = _LIST_ALL_UP_TO
) -> tuple[list[Candidate], int]:
    """Every option worth considering, the loop as it stands first; and how many were passed over.

    With up to `list_all_up_to` combinations of pump and bores every one is checked. `step` is
    called twice per kit. Pumps are taken in order of their draw at the required flow: one that
    draws more than twice the least cannot be the choice (`loop.size.rank`).
    """
    kits_by_power = sorted(kits(job), key=lambda kit: _pump_power(job, kit))
    lists = {kit: bore_lists(job, kit) for kit in kits_by_power}
    found = {(first := search.present_loop()).choice: first}
    count = sum(math.prod(map(len, bore_list)) for bore_list in lists.values())
    if count <= list_all_up_to:
        passed_over = 0
        for kit in kits_by_power:
            short = search.hopeless(kit, lists[kit])
            options = [short] if short else search.all_bores(kit, lists[kit])
            found |= {one.choice: one for one in options if not search.is_present_loop(one.choice)}
            step()
            step()
    else:
        passed_over = _add_best(job, search, lists, found, step)
    if not any(candidate.passes for candidate in found.values()):
        found |= _pump_pairs(search, kits_by_power)
    by_flow = [one.choice for one in found.values() if one.judged is None]
    distant = sorted(by_flow, key=lambda choice: -search.flows(choice).least_ratio)[_MAX_SHORT:]
    for choice in distant:
        del found[choice]
    return list(found.values()), passed_over + len(distant)


def _add_best(
    job: Job,
    search: OptionSearch,
    lists: dict[Choice, tuple[tuple[float, ...], ...]],
    found: dict[Choice, Candidate],
    step: Step,
) -> int:
    """Add the best options of many pumps to `found`; return how many pumps were passed over."""
    working, near_misses, passed_over = _smallest_hoses(job, search, lists, found, step)
    passing: list[Choice] = []
    for number, choice in enumerate([*working, *near_misses]):
        step()
        if len(passing) >= _PASSING_WANTED or number >= _MAX_CHECKED:
            passed_over += 1
            continue
        candidate = search.adjusted(choice, lists[_kit_of(choice, lists)])
        if not search.is_present_loop(candidate.choice):
            found[candidate.choice] = candidate
        passing += [candidate.choice] if candidate.passes else []
    for choice in passing[:_NEIGHBORS_OF]:
        for neighbor in search.neighbors(choice, lists[_kit_of(choice, lists)]):
            if not search.is_present_loop(neighbor):
                found[neighbor] = search.candidate(neighbor)
    for _ in range(len(lists) - len(working) - len(near_misses)):
        step()
    return passed_over


def _smallest_hoses(
    job: Job,
    search: OptionSearch,
    lists: dict[Choice, tuple[tuple[float, ...], ...]],
    found: dict[Choice, Candidate],
    step: Step,
) -> tuple[list[Choice], list[Choice], int]:
    """For each pump the smallest hoses that work, best pump first; then the pumps that nearly work.

    And how many pumps were passed over. Adds to `found` those that leave a unit short in any hose.
    """
    working: list[Choice] = []
    powers: list[float] = []
    near_misses: list[Choice] = []
    passed_over, start = 0, None
    for kit, sizes in lists.items():
        step()
        power = _pump_power(job, kit)
        if _outranked(power, powers, working):
            passed_over += 1
            continue
        short = search.hopeless(kit, sizes)
        if short is not None:
            found[short.choice] = short
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
    return [working[i] for i in order], near_misses, passed_over


def _kit_of(choice: Choice, lists: dict[Choice, tuple[tuple[float, ...], ...]]) -> Choice:
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


def _pump_pairs(search: OptionSearch, all_kits: Sequence[Choice]) -> dict[Choice, Candidate]:
    """Two pumps in parallel or in series, if no single one passes: up to the first that does."""
    found: dict[Choice, Candidate] = {}
    for kit in (one for one in all_kits if one.count == 1):
        lists = bore_lists(search.job, kit)
        for arrangement in ("parallel", "series"):
            pair = replace(kit, count=2, arrangement=arrangement)
            one = search.hopeless(pair, lists)
            if one is None:
                start = search.bore_search.start_bores(lists)
                bores = search.bore_search.smallest_bores(pair, lists, start, FIRST_TARGET)
                one = search.adjusted(pair.with_bores(bores), lists)
            found[one.choice] = one
        checked = [one for one in found.values() if one.judged]
        if len(checked) >= _MAX_PAIRS or any(one.passes for one in checked):
            break
    return found
