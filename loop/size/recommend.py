"""The study: find, judge and rank the options, and assemble the answer."""

import math
from collections.abc import Sequence
from dataclasses import replace

from loop.hydraulics import build, solve
from loop.job import Job, JobError, takes_job
from loop.margins.energy import COMPARED, at_condensing
from loop.size.apart import apart
from loop.size.compare import compared
from loop.size.describe import described
from loop.size.first_fix import not_first
from loop.size.fitting import applied
from loop.size.least_change import MOST_STEPS, least_change
from loop.size.limits import REACHES, reach
from loop.size.options import kits, unsuited
from loop.size.progress import Progress, Step, Work
from loop.size.pump_search import searched
from loop.size.rank import front, ranked
from loop.size.result import Option, SizeResult, Studied
from loop.size.rules import Reason, Rules
from loop.size.search import Search
from loop.size.study import DRAWS, Odds
from loop.size.uncertainty import distributions
from loop.size.words import advantages, against_text, prefer, reasons_for, service_words
from loop.size.worst_case import in_service
from loop.words.sizing import SAY

MOST_DRAWS = 100_000
# How many of the best options get a chance by Monte Carlo.
_DRAWN = 12
# Progress in thousandths: the search, description of its options, chances, how far the choice goes,
# the smallest change, a pump for each unit. Engineering estimate.
_SEARCH, _TOLD, _CHANCES, _REACH, _CHANGE, _APART = 560, 120, 60, 80, 100, 80


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
    if not 1 <= draws <= MOST_DRAWS:
        raise JobError([SAY("wrong-draws", value=str(draws), most=f"{MOST_DRAWS:,}")])
    if seed < 0:
        raise JobError([SAY("wrong-seed", value=str(seed))])
    work = Work(progress)
    step = work.phase(_SEARCH, 2 * len(kits(job)))
    rules = Rules(job, Odds(draws, seed))
    cared = rules.job
    search = Search(cared, rules)
    candidates, over = searched(cared, search, step)
    step = work.phase(_TOLD, len(candidates))
    options = ranked([described(cared, search, one, step) for one in candidates])
    step = work.phase(_CHANCES, min(_DRAWN, len(options)))
    while _undrawn(options):
        options = ranked(_with_chances(rules, options, step))
    choice = 0 if options[0].passes else None
    best = front(options)
    runner_up = _runner_up(options, best, job)
    chosen = cared if choice is None else applied(cared, options[choice].choice)
    far = () if choice is None else reach(chosen, rules, work.phase(_REACH, REACHES))
    changes, others = least_change(job, rules, work.phase(_CHANGE, MOST_STEPS))
    fixed = bool(changes) and changes[-1].passes
    point, told = solve(in_service(chosen)), any(unit.electrical for unit in job.condenser)
    alone = apart(cared, rules.odds, work.phase(_APART, len(job.condenser)))
    work.end()
    return SizeResult(
        job=job,
        first=rules.first,
        cared=cared,
        chosen=in_service(chosen),
        options=options,
        choice=choice,
        runner_up=runner_up,
        front=best,
        aside=rules.besides(chosen),
        condensing=tuple(at_condensing(point, at) for at in COMPARED) if told else (),
        against=() if choice is None else compared(options, choice, against_text(job.units)),
        reach=far,
        apart=alone,
        why=reasons_for(options, job.units, bool(rules.first)),
        prefer_runner_up=""
        if runner_up is None
        else prefer(options[0], options[runner_up], job.units),
        service=service_words(cared),
        distributions=distributions(build(cared)),
        least_change=changes,
        other_changes=others,
        not_first=not_first(job, rules, changes),
        advised=rules.advised(fixed),
        unsuited=unsuited(job),
        studied=Studied(
            options=len(options),
            passed_over=over,
            draws=draws,
            seed=seed,
            checks=search.checks,
            solves=search.flows.solves,
        ),
    )


def _runner_up(options: Sequence[Option], best: Sequence[int], job: Job) -> int | None:
    """The next option on the front that is better in a respect worth reporting."""
    others = (position for position in best if position > 0)
    return next((i for i in others if advantages(options[0], options[i], job.units)), None)


def _undrawn(options: Sequence[Option]) -> bool:
    """Whether one of the best options, or the loop as it stands, has no chance yet."""
    return any(math.isnan(one.chance) for one in options if one.rank <= _DRAWN or one.as_is)


def _with_chances(rules: Rules, options: Sequence[Option], step: Step) -> tuple[Option, ...]:
    """The options, with chances for the best and for the loop as it stands.

    An option below the chance that the job requires fails.
    """
    job, asked = rules.job, rules.job.sizing.confidence
    found = []
    for option in options:
        if math.isnan(option.chance) and (option.rank <= _DRAWN or option.as_is):
            step()
            of_units = rules.odds.of_units(applied(job, option.choice))
            pairs = zip(option.units, of_units, strict=True)
            units = tuple(replace(unit, chance=chance) for unit, chance in pairs)
            reasons, said = option.reasons, option.said
            if min(of_units) < asked:
                unsure = _too_unsure(job, of_units, asked)
                reasons, said = (*reasons, unsure), (*said, unsure.text)
            option = replace(option, units=units, chance=min(of_units), reasons=reasons, said=said)
        found.append(option)
    return tuple(found)


def _too_unsure(job: Job, of_units: Sequence[float], asked: float) -> Reason:
    chance = min(of_units)
    name = job.condenser[of_units.index(chance)].name
    text = SAY("chance-low", unit=name, chance=chance, asked=asked)
    return Reason("chance-low", {"unit": name}, {"chance": chance, "asked": asked}, text)
