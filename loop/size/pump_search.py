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
from loop.size.describe import describe_option
from loop.size.option_questions import Answer, adjusted, option, pair, ruled_out
from loop.size.option_search import FIRST_TARGET, OptionSearch
from loop.size.options import Choice, bore_lists, bores_allowed, kits
from loop.size.processes import Asked
from loop.size.progress import Step
from loop.size.result import Option

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
_ARRANGEMENTS: tuple[Literal["parallel", "series"], ...] = ("parallel", "series")


# The bores to choose from with each kit; and the options found, None for those ruled out by flow.
Lists = dict[Choice, tuple[tuple[float, ...], ...]]
Found = dict[Choice, Option | None]


def search_pumps(
    search: OptionSearch,
    step: Step = lambda: None,
    list_all_up_to: int = _LIST_ALL_UP_TO,
    detailed: bool = True,
) -> tuple[list[Option], int]:
    """Every option worth considering, the loop as it stands first; and how many were passed over.

    With up to `list_all_up_to` combinations of pump and bores every one is checked. Unless
    `detailed`, options are described as far as needed to compare those that pass. `step` is called
    twice per kit. Pumps are taken in order of their draw at the required flow: one that draws more
    than twice the least cannot be the choice (`loop.size.rank`).
    """
    job, rules = search.job, search.rules
    kits_by_power = sorted(kits(job), key=lambda kit: _pump_power(job, kit))
    lists = {kit: bore_lists(job, kit) for kit in kits_by_power}
    present = search.present_loop()
    found: Found = {present.choice: describe_option(rules, present, detailed)}
    count = sum(math.prod(map(len, bore_list)) for bore_list in lists.values())
    if count <= list_all_up_to:
        passed_over = 0
        _add_all(search, lists, found, step, detailed)
    else:
        passed_over = _add_best(search, lists, found, step, detailed)
    if not any(option and option.passes for option in found.values()):
        _add_pairs(search, kits_by_power, found, detailed)
    by_flow = [choice for choice, option in found.items() if option is None]
    by_flow.sort(key=lambda choice: -search.flows(choice).least_ratio)
    nearest = by_flow[: _MAX_SHORT if detailed else 0]
    asked = [(one, rules.ask(ruled_out, one, {one: search.flows(one)})) for one in nearest]
    found |= {choice: answer() for choice, answer in asked}
    return [one for one in found.values() if one], passed_over + len(by_flow) - len(nearest)


def _add(search: OptionSearch, answer: Answer, found: Found) -> None:
    """Add an option to `found`, unless it is the loop as it stands."""
    search.note(answer.flows, answer.checked)
    if not search.is_present_loop(answer.choice):
        found[answer.choice] = answer.option


def _add_all(search: OptionSearch, lists: Lists, found: Found, step: Step, detailed: bool) -> None:
    """Add every combination of bores with every pump; of a pump too weak only the best."""
    asked = []
    for kit, sizes in lists.items():
        short = search.hopeless(kit, sizes)
        every = (kit.with_bores(bores) for bores in product(*sizes) if bores_allowed(bores))
        choices = every if short is None else [short]
        others = [choice for choice in choices if not search.has_present(choice)]
        asked.append([search.rules.ask(option, choice, detailed) for choice in others])
    for answers in asked:
        for answer in answers:
            _add(search, answer(), found)
        step()
        step()


def _add_best(search: OptionSearch, lists: Lists, found: Found, step: Step, detailed: bool) -> int:
    """Add the best options of many pumps to `found`; return how many pumps were passed over."""
    rules = search.rules
    working, near_misses, passed_over = _smallest_hoses(search, lists, found, step)
    passing: list[Choice] = []

    def ask(choice: Choice) -> Asked[Answer]:
        step()
        flows, name = search.flows.known, choice.pump.name
        known = {one: found for one, found in flows.items() if one.pump.name == name}
        return rules.ask(adjusted, choice, lists[_kit_of(choice, lists)], known, detailed)

    every = [*working, *near_misses]
    tried = 0
    for _, answer in rules.processes.in_order(ask, every[:_MAX_CHECKED]):
        _add(search, answer, found)
        passing += [answer.choice] if answer.passes else []
        tried += 1
        if len(passing) >= _PASSING_WANTED:
            break
    neighbors = [
        rules.ask(option, neighbor, detailed)
        for choice in passing[:_NEIGHBORS_OF]
        for neighbor in search.neighbors(choice, lists[_kit_of(choice, lists)])
        if not search.is_present_loop(neighbor)
    ]
    for asked in neighbors:
        _add(search, asked(), found)
    for _ in range(len(lists) - tried):
        step()
    return passed_over + len(every) - tried


def _smallest_hoses(
    search: OptionSearch, lists: Lists, found: Found, step: Step
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
        power = _pump_power(search.job, kit)
        if _outranked(power, powers, working):
            passed_over += 1
            continue
        short = search.hopeless(kit, sizes)
        if short is not None:
            found[short] = None
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


def _add_pairs(
    search: OptionSearch, all_kits: Sequence[Choice], found: Found, detailed: bool
) -> None:
    """Add pairs of pumps in parallel and in series, up to the first pump of which one passes."""
    rules, checked = search.rules, 0
    pairs = [
        replace(kit, count=2, arrangement=arrangement)
        for kit in all_kits
        if kit.count == 1
        for arrangement in _ARRANGEMENTS
    ]

    def ask(kit: Choice) -> Asked[Answer]:
        return rules.ask(pair, kit, bore_lists(search.job, kit), detailed)

    passes = False
    for kit, answer in rules.processes.in_order(ask, pairs):
        search.note(answer.flows, answer.checked)
        found[answer.choice] = answer.option
        checked += answer.option is not None
        passes |= answer.passes
        if kit.arrangement == _ARRANGEMENTS[-1] and (checked >= _MAX_PAIRS or passes):
            break
