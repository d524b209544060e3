"""The study: find, judge and rank the options, and assemble the answer."""

import math
from collections.abc import Sequence
from dataclasses import replace

from loop.hydraulics import build, solve
from loop.job import Job, JobError, takes_job
from loop.margins.energy import COMPARED, at_condensing
from loop.size.chances import DRAWS, Chances
from loop.size.compare import comparisons
from loop.size.describe import describe_option
from loop.size.first_fix import first_fix_difference
from loop.size.fit_choice import with_choice
from loop.size.least_change import MAX_STEPS, least_change
from loop.size.limits import QUANTITY_COUNT, reach
from loop.size.option_search import OptionSearch
from loop.size.options import kits, unsuited
from loop.size.progress import Progress, Step, Work
from loop.size.pump_search import search_pumps
from loop.size.rank import pareto_front, ranked
from loop.size.result import Option, SizeResult, Studied
from loop.size.rules import Reason, Rules
from loop.size.separate_loops import separate_loops
from loop.size.uncertainty import distributions
from loop.size.words import advantages, comparison_text, prefer_runner_up, service_words, why_chosen
from loop.size.worst_case import at_worst_service
from loop.words.sizing import SAY

MAX_DRAWS = 100_000
# How many of the best options get a chance by Monte Carlo.
_SHOWN_CHANCES = 12
# Progress in thousandths: the search, description of its options, chances, how far the choice goes,
# the smallest change, a pump for each unit. Engineering estimate.
_SEARCH, _DESCRIBE, _CHANCES, _REACH, _CHANGE, _APART = 560, 120, 60, 80, 100, 80


@takes_job
def size(
    job: Job, draws: int = DRAWS, seed: int = 1, progress: Progress | None = None
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
    work = Work(progress)
    step = work.phase(_SEARCH, 2 * len(kits(job)))
    rules = Rules(job, Chances(draws, seed))
    corrected_job = rules.job
    search = OptionSearch(corrected_job, rules)
    candidates, passed_over = search_pumps(corrected_job, search, step)
    step = work.phase(_DESCRIBE, len(candidates))
    options = ranked([describe_option(corrected_job, search, one, step) for one in candidates])
    step = work.phase(_CHANCES, min(_SHOWN_CHANCES, len(options)))
    while _lacks_chances(options):
        options = ranked(_with_chances(rules, options, step))
    choice = 0 if options[0].passes else None
    front = pareto_front(options)
    runner_up = _runner_up(options, front, job)
    chosen = corrected_job if choice is None else with_choice(corrected_job, options[choice].choice)
    reaches = () if choice is None else reach(chosen, rules, work.phase(_REACH, QUANTITY_COUNT))
    changes, others = least_change(job, rules, work.phase(_CHANGE, MAX_STEPS))
    is_fixed = bool(changes) and changes[-1].passes
    point = solve(at_worst_service(chosen))
    draw_stated = any(unit.electrical for unit in job.condenser)
    separate = separate_loops(corrected_job, rules.chances, work.phase(_APART, len(job.condenser)))
    work.end()
    return SizeResult(
        job=job,
        first=rules.first,
        cared=corrected_job,
        chosen=at_worst_service(chosen),
        options=options,
        choice=choice,
        runner_up=runner_up,
        front=front,
        aside=rules.not_fixed_by_size(chosen),
        condensing=tuple(at_condensing(point, at) for at in COMPARED) if draw_stated else (),
        against=() if choice is None else comparisons(options, choice, comparison_text(job.units)),
        reach=reaches,
        apart=separate,
        why=why_chosen(options, job.units, bool(rules.first)),
        prefer_runner_up=""
        if runner_up is None
        else prefer_runner_up(options[0], options[runner_up], job.units),
        service=service_words(corrected_job),
        distributions=distributions(build(corrected_job)),
        least_change=changes,
        other_changes=others,
        not_first=first_fix_difference(job, rules, changes),
        advised=rules.advised(is_fixed),
        unsuited=unsuited(job),
        studied=Studied(
            options=len(options),
            passed_over=passed_over,
            draws=draws,
            seed=seed,
            checks=search.checks,
            solves=search.flows.solves,
        ),
    )


def _runner_up(options: Sequence[Option], front: Sequence[int], job: Job) -> int | None:
    """The next option on the front that is better in a respect worth reporting."""
    others = (position for position in front if position > 0)
    return next((i for i in others if advantages(options[0], options[i], job.units)), None)


def _lacks_chances(options: Sequence[Option]) -> bool:
    """Whether one of the best options, or the loop as it stands, has no chance yet."""
    return any(math.isnan(one.chance) for one in options if one.rank <= _SHOWN_CHANCES or one.as_is)


def _with_chances(rules: Rules, options: Sequence[Option], step: Step) -> tuple[Option, ...]:
    """The options, with chances for the best and for the loop as it stands.

    An option below the chance that the job requires fails.
    """
    job, required = rules.job, rules.job.sizing.confidence
    found = []
    for option in options:
        if math.isnan(option.chance) and (option.rank <= _SHOWN_CHANCES or option.as_is):
            step()
            unit_chances = rules.chances.unit_chances(with_choice(job, option.choice))
            pairs = zip(option.units, unit_chances, strict=True)
            units = tuple(replace(unit, chance=chance) for unit, chance in pairs)
            reasons, said = option.reasons, option.said
            if min(unit_chances) < required:
                too_low = _chance_too_low(job, unit_chances, required)
                reasons, said = (*reasons, too_low), (*said, too_low.text)
            option = replace(
                option, units=units, chance=min(unit_chances), reasons=reasons, said=said
            )
        found.append(option)
    return tuple(found)


def _chance_too_low(job: Job, unit_chances: Sequence[float], required: float) -> Reason:
    chance = min(unit_chances)
    name = job.condenser[unit_chances.index(chance)].name
    text = SAY("chance-low", unit=name, chance=chance, asked=required)
    return Reason("chance-low", {"unit": name}, {"chance": chance, "asked": required}, text)
