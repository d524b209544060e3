"""The study: every option solved, judged and ranked, and the answer put together."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from loop.hydraulics import build, solve
from loop.job import Job, JobError, Price, all_parts
from loop.margins.energy import pump_draw, running
from loop.parts import Hose
from loop.size.failures import danger_reasons, judge
from loop.size.least_change import least_change
from loop.size.options import Choice, applied, choices
from loop.size.rank import front, ranked
from loop.size.result import Option, SizeResult, Studied
from loop.size.study import outcome
from loop.size.uncertainty import Draws, distributions, drawn
from loop.size.words import advantages, prefer, reasons_for, service_words
from loop.size.worst_case import in_service

# Draws of an option: the chance's own error is then 1 % at the most that matters, and far less
# near 0 and 1 (binomial: the root of p(1 − p)/n).
DRAWS = 1000
MOST_DRAWS = 100_000

Progress = Callable[[int, int], None]


def size(
    job: Job, draws: int = DRAWS, seed: int = 1, progress: Progress | None = None
) -> SizeResult:
    """Which hose and which pump: every combination solved at its worst service, and ranked.

    Parameters
    ----------
    job : Job
        Its ``[sizing]`` says what may be chosen and what the choice must stand.
    draws : int
        Draws of what is uncertain, 1 to 100,000 for every option; the same for all of them.
    seed : int
        Of the draws, 0 or more: the same seed gives the same answer.
    progress : callable, optional
        Called with the number of options done and of all options, now and then.

    Returns
    -------
    SizeResult
        An option passes only where every condenser meets its need with the confidence asked for,
        a check of it at its worst service finds no danger, air is swept or bled, suction does not
        cavitate, and speeds stay in their limits (too fast as new, too slow at the worst).

    Raises
    ------
    JobError
        Where the job leaves nothing to choose from, or the numbers given are out of range.
    """
    if not 1 <= draws <= MOST_DRAWS:
        raise JobError([f"draws: {draws} is out of range; it must be 1 to {MOST_DRAWS:,}"])
    if seed < 0:
        raise JobError([f"seed: {seed} is out of range; it must be 0 or more"])
    network = build(job)
    blocks = tuple(drawn(network, draws, seed))
    found = tuple(_options(job, blocks, progress))
    options = ranked(_with_running(job, found))
    best = front(options)
    passing = sum(option.passes for option in options)
    runner_up = _runner_up(options, best, job)
    changes, others = least_change(job)
    return SizeResult(
        job=job,
        options=options,
        choice=0 if passing else None,
        runner_up=runner_up,
        front=best,
        why=reasons_for(options, job.units),
        prefer_runner_up=""
        if runner_up is None
        else prefer(options[0], options[runner_up], job.units),
        service=service_words(job),
        distributions=distributions(network),
        least_change=changes,
        other_changes=others,
        studied=Studied(
            options=len(options),
            draws=draws,
            seed=seed,
            solves=len(options) * (draws + 2),
        ),
    )


def _runner_up(options: Sequence[Option], best: Sequence[int], job: Job) -> int | None:
    """The next option of the front that is better in a respect worth a word, or just the next."""
    others = [position for position in best if position > 0]
    worth = (i for i in others if advantages(options[0], options[i], job.units))
    return next(worth, next(iter(others), None))


def _options(job: Job, blocks: Sequence[Draws], progress: Progress | None) -> Iterator[Option]:
    """Every option, judged."""
    all_choices = choices(job)
    for number, choice in enumerate(all_choices, 1):
        fitted = applied(job, choice)
        worst = in_service(fitted)
        full_speed = fitted.pump.speed / worst.pump.speed
        found = outcome(worst, full_speed, blocks)
        judged = judge(worst, found)
        reasons = judged.reasons or danger_reasons(worst)
        point = found.service
        yield Option(
            choice=choice,
            rank=0,
            flow=point.flow,
            flow_low=point.flow_low,
            flow_high=point.flow_high,
            chance=min(unit.chance for unit in found.units),
            margin=min(unit.flow_low / unit.needed_flow - 1 for unit in found.units),
            units=found.units,
            power=point.power,
            suction_velocity=judged.suction_velocity,
            pressure_velocity=judged.pressure_velocity,
            start_head=judged.start_head,
            shutoff_head=point.shutoff_head,
            starts_last=judged.starts_last,
            price=_price(fitted, choice),
            running=(),
            passes=not reasons,
            reasons=reasons,
        )
        if progress:
            progress(number, len(all_choices))


def _with_running(job: Job, options: Sequence[Option]) -> tuple[Option, ...]:
    """The options with what each draws from the bank, where the job states one."""
    supply = job.supply
    if supply is None:
        return tuple(options)
    present = pump_draw(supply, job.pump.curve, solve(job).power)
    return tuple(
        replace(
            option,
            running=running(supply, present, pump_draw(supply, option.choice.pump, option.power)),
        )
        for option in options
    )


def _price(job: Job, choice: Choice) -> float | None:
    """Price of hose, pump and chosen strainer; None where any of them has none."""
    prices = job.sizing.price
    hoses = [part for part in all_parts(job.part) if isinstance(part, Hose)]
    costs = [_hose_price(prices, hose) for hose in hoses]
    pump = prices.pump.get(choice.pump.name)
    costs.append(None if pump is None else pump * job.pump.count)
    if choice.strainer is not None:
        costs.append(prices.strainer.get(choice.strainer.name))
    known = [cost for cost in costs if cost is not None]
    return sum(known) if len(known) == len(costs) else None


def _hose_price(prices: Price, hose: Hose) -> float | None:
    for bore, price in prices.hose_per_metre.items():
        if abs(bore - hose.inner_bore) < 1e-4:
            return price * hose.length
    return None
