"""The study: find, judge and rank the options, and assemble the answer."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TypeVar

from loop.hydraulics import build, solve
from loop.job import Job, JobError, takes_job
from loop.margins.energy import COMPARED, at_condensing
from loop.size.chances import DRAWS, Chances
from loop.size.compare import better_than, comparisons
from loop.size.first_fix import first_fix, first_fix_difference
from loop.size.fit_choice import with_choice
from loop.size.least_change import MAX_STEPS, least_change
from loop.size.limits import reach
from loop.size.option_questions import chances as chances_of
from loop.size.option_search import OptionSearch
from loop.size.options import kits, unsuited
from loop.size.processes import Asked, Processes, processes_available
from loop.size.progress import Progress, Step, Work
from loop.size.promise import Promise
from loop.size.pump_search import search_pumps
from loop.size.rank import SHOWN_FAILING, SHOWN_PASSING, dominates, pareto_front
from loop.size.result import Option, SizeResult, Studied
from loop.size.rules import Reason, Rules, advice
from loop.size.separate_loops import separate_loops
from loop.size.shortlist import Shortlist
from loop.size.uncertainty import distributions
from loop.size.words import advantages, comparison_text, prefer_runner_up, service_words, why_chosen
from loop.size.worst_case import at_worst_service
from loop.units import System
from loop.words.sizing import SAY

T = TypeVar("T")

MAX_DRAWS = 100_000
# Progress in thousandths: the search on flows alone, checks, the smallest change, how far the
# choice goes, a pump for each unit. Engineering estimate.
_SEARCH, _CHECKS, _CHANGE, _REACH, _APART = 300, 440, 100, 80, 80
# Checks for which a choice is usually settled: engineering estimate.
_USUAL_CHECKS = 40


@takes_job
def size(
    job: Job,
    draws: int = DRAWS,
    seed: int = 1,
    progress: Progress | None = None,
    processes: int | None = None,
    every: bool = True,
) -> SizeResult:
    """Choose hose and pump, and compare with the loop as it stands, at its worst service.

    Parameters
    ----------
    job : Job
        Its ``[sizing]`` states what may be chosen and what the choice must withstand.
    draws : int
        Monte Carlo samples for the chances that are shown, 1 to 100,000.
    seed : int
        Seed of the samples, 0 or more: the same seed gives the same answer.
    progress : callable, optional
        Called with the work done and the total work, in thousandths, to the end.
    processes : int, optional
        Processes that share the work, this one included: as many as the system allows this one,
        four at most, if omitted. The answer does not depend on it.
    every : bool
        Check every option. Otherwise only those are checked that may be among the best dozen, or
        explain the choice, which is the same; ``options`` then holds only them.

    Returns
    -------
    SizeResult
        An option passes if its check at the worst service finds nothing wrong that another size
        might fix; what no size fixes is set aside and reported with the answer.

    Raises
    ------
    JobError
        If the job leaves nothing to choose from, or the numbers given are out of range.
    """
    if not 1 <= draws <= MAX_DRAWS:
        raise JobError([SAY("wrong-draws", value=str(draws), most=f"{MAX_DRAWS:,}")])
    if seed < 0:
        raise JobError([SAY("wrong-seed", value=str(seed))])
    with Processes(processes or processes_available()) as others:
        return _sized(job, Chances(draws, seed), others, Work(progress), every)


def _sized(job: Job, chances: Chances, processes: Processes, work: Work, every: bool) -> SizeResult:
    step = work.phase(_SEARCH, 2 * len(kits(job)))
    rules = Rules(job, chances, processes)
    corrected_job = rules.job
    every |= any(unit.electrical for unit in job.condenser)  # total draws are compared
    separate = separate_loops(rules)
    if not rules.passes_already:  # what will be needed takes long
        rules.ask_once(advice, long=True)
        rules.ask_once(first_fix, long=True)
    search = OptionSearch(rules)
    check = (lambda: None) if every else work.phase(_CHECKS, _USUAL_CHECKS)
    shortlist = search_pumps(search, step, check)
    if every:
        shortlist.step = work.phase(_CHECKS, len(shortlist.waiting))
        shortlist.check_all()
    while lacking := [one for one in shortlist.ranked(SHOWN_PASSING) if _lacks_chance(one)]:
        shortlist.replace(_with_chances(rules, lacking))
    _settle_reasons(shortlist, job.units)
    options = shortlist.ranked(SHOWN_PASSING)
    choice = 0 if options[0].passes else None
    front = pareto_front(options, shortlist.unchecked)
    runner_up = _runner_up(options, front, job)
    chosen = corrected_job if choice is None else with_choice(corrected_job, options[choice].choice)
    reaches = () if choice is None else reach(chosen, rules)
    aside = rules.ask(Rules.not_fixed_by_size, chosen, long=True)
    changes, other_changes = least_change(rules, work.phase(_CHANGE, MAX_STEPS))
    is_fixed = bool(changes) and changes[-1].passes
    point = solve(at_worst_service(chosen))
    draw_stated = any(unit.electrical for unit in job.condenser)
    reach_found = _answers(reaches, work.phase(_REACH, len(reaches)))
    separate_found = _answers(separate, work.phase(_APART, len(separate)))
    result = SizeResult(
        job=job,
        first=rules.first,
        cared=corrected_job,
        chosen=at_worst_service(chosen),
        options=options,
        choice=choice,
        runner_up=runner_up,
        front=front,
        aside=aside(),
        condensing=tuple(at_condensing(point, at) for at in COMPARED) if draw_stated else (),
        against=() if choice is None else comparisons(options, choice, comparison_text(job.units)),
        reach=reach_found,
        apart=separate_found,
        why=why_chosen(options, job.units, bool(rules.first)),
        prefer_runner_up=""
        if runner_up is None
        else prefer_runner_up(options[0], options[runner_up], job.units),
        service=service_words(corrected_job),
        distributions=distributions(build(corrected_job)),
        least_change=changes,
        other_changes=other_changes,
        not_first=first_fix_difference(rules, changes),
        advised=rules.advised(is_fixed),
        unsuited=unsuited(job),
        studied=Studied(
            options=len(options) + len(shortlist.waiting),
            passed_over=shortlist.passed_over,
            unchecked=len(shortlist.unchecked),
            draws=chances.draws,
            seed=chances.seed,
            checks=len(search.checked),
            solves=search.flows.solves,
        ),
    )
    work.end()
    return result


def _answers(asked: Sequence[Asked[T]], step: Step) -> tuple[T, ...]:
    """The answers, with a step before each."""
    found = []
    for answer in asked:
        step()
        found.append(answer())
    return tuple(found)


def _runner_up(options: Sequence[Option], front: Sequence[int], job: Job) -> int | None:
    """The next option on the front that is better in a respect worth reporting."""
    others = (position for position in front if position > 0)
    return next((i for i in others if advantages(options[0], options[i], job.units)), None)


def _settle_reasons(shortlist: Shortlist, units: System) -> None:
    """Check what the reasons compare the choice with, and what nearly passes."""
    first = shortlist.ranked(SHOWN_PASSING)[0]
    if first.passes:

        def may_be_runner_up(one: Option | Promise) -> bool:
            dominated = any(dominates(other, one) for other in shortlist.passing)
            return not dominated and bool(advantages(first, one, units))

        shortlist.settle_first(may_be_runner_up)
        for _, is_better in better_than(first):
            shortlist.settle_first(is_better)
            if not any(map(is_better, shortlist.passing)):
                shortlist.settle_nearest(1, is_better)
        shortlist.settle_neighbors(first)
        shortlist.settle_nearest(SHOWN_FAILING)
    else:
        shortlist.check_all()


def _lacks_chance(option: Option) -> bool:
    """Whether an option is one of the best, or the loop as it stands, and has no chance yet."""
    return math.isnan(option.chance) and (option.rank <= SHOWN_PASSING or option.as_is)


def _with_chances(rules: Rules, options: Sequence[Option]) -> Iterator[Option]:
    """The options with their chances; one below the chance that the job requires fails."""
    job, required = rules.job, rules.job.sizing.confidence
    asked = [rules.ask(chances_of, one.choice, _seems_short(one)) for one in options]
    for option, answer in zip(options, asked, strict=True):
        unit_chances = answer()
        pairs = zip(option.units, unit_chances, strict=True)
        units = tuple(replace(unit, chance=chance) for unit, chance in pairs)
        reasons, said = option.reasons, option.said
        if min(unit_chances) < required:
            too_low = _chance_too_low(job, unit_chances, required)
            reasons, said = (*reasons, too_low), (*said, too_low.text)
        yield replace(option, units=units, chance=min(unit_chances), reasons=reasons, said=said)


def _seems_short(option: Option) -> bool:
    """Whether no unit gets its need, even at the high end of its band."""
    return all(unit.flow_high < unit.needed_flow for unit in option.units)


def _chance_too_low(job: Job, unit_chances: Sequence[float], required: float) -> Reason:
    chance = min(unit_chances)
    name = job.condenser[unit_chances.index(chance)].name
    text = SAY("chance-low", unit=name, chance=chance, asked=required)
    return Reason("chance-low", {"unit": name}, {"chance": chance, "asked": required}, text)
