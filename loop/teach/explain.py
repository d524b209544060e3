"""The worked explanation of a job: every figure of `check`, in steps for a pocket calculator."""

from loop.check import check
from loop.job import Job, file_numbers, takes_job
from loop.parts import Hose, Manifold, Pump
from loop.teach.air import start_steps
from loop.teach.balance import balance_steps, depth_steps, pump_pressures, scoop_step
from loop.teach.band_edges import answer_steps, edge_steps
from loop.teach.best_change import change_steps
from loop.teach.calculation import ZERO_HEAD, Calculation
from loop.teach.explanation import Explanation
from loop.teach.fittings import fitting_steps
from loop.teach.heat import heat_steps
from loop.teach.hose import film_of, hose_steps
from loop.teach.losses import with_bore_steps
from loop.teach.need import flow_steps, need_steps, water_steps
from loop.teach.pumping import pump_steps
from loop.teach.step import Value
from loop.teach.tees import manifold_steps
from loop.words.teaching.steps import PHRASE, SECTIONS


@takes_job
def explain(job: Job) -> Explanation:
    """The full calculation of a job, step by step.

    Every printed result follows from its printed inputs, and equals the figure that `check` uses to
    the digits shown. Parts are numbered in flow order, including those in branches.
    """
    calc = Calculation(check(job))
    water_steps(calc)
    needs = need_steps(calc)
    flow_steps(calc)
    heads = [_part_steps(calc, index) for index in range(len(calc.network.parts))]
    supplied = {**scoop_step(calc), "H_pump": heads[calc.network.pump_index]}
    balance_steps(calc, supplied)
    if calc.result.point.flow > 0:
        pump_pressures(calc, supplied)
        depth_steps(calc)
    heat_steps(calc, needs)
    start_steps(calc)
    edge_steps(calc)
    answer_steps(calc, needs)
    change_steps(calc)
    return Explanation(calc.result, tuple(calc.steps))


def _part_steps(calc: Calculation, index: int) -> Value:
    """A part's steps; returns its head loss, or the pump's head."""
    network = calc.network
    part, branch = network.parts[index], network.branches[index]
    number = file_numbers(network.job.part)[index]
    inside = SECTIONS["in-branch"].format(of=branch) if branch else ""
    calc.begin_section(
        "part", part=index + 1, number=number, label=network.labels[index], branch=inside
    )
    calc.heads[index] = ZERO_HEAD
    if isinstance(part, Manifold):
        manifold_steps(calc, next(f for f in network.forks if f.manifold == index))
        return ZERO_HEAD
    if isinstance(part, Pump):
        return pump_steps(calc, part)
    if calc.flow(index).value == 0:
        calc.remark("stands")
        return ZERO_HEAD
    steps = hose_steps if isinstance(part, Hose) else fitting_steps
    plain = steps(calc, index, part)  # type: ignore[arg-type]
    own = _with_film(calc, index, with_bore_steps(calc, index, plain))
    calc.heads[index] = _with_tees(calc, index, own)
    return own


def _with_film(calc: Calculation, index: int, plain_head: Value) -> Value:
    """Replaces the friction by the fall where water falls through air in a hose."""
    share, fall = film_of(calc, index)
    if share == 0:
        return plain_head
    return calc.step("film", {"h": plain_head, "s": share, "z_fall": fall}, repeat=True)


def _with_tees(calc: Calculation, index: int, plain_head: Value) -> Value:
    """Adds the manifold's tees to the first and last part of a branch, as `check` does."""
    line = calc.network.line_of[index]
    ends = calc.network.lines[line].parts
    heads = {"h": plain_head}
    if index == ends[0]:
        heads["h_split"] = calc.tees.get(line, ZERO_HEAD)
    if index == ends[-1]:
        heads["h_join"] = calc.tees.get(~line, ZERO_HEAD)
    heads = {name: head for name, head in heads.items() if name == "h" or head.value != 0}
    exact, sums = calc.result.point.stations[index].head_loss, " + ".join(heads)
    if calc.backwards(index):
        facts = {"tees": PHRASE("with-tees") if len(heads) > 1 else ""}
        against = f"-{sums}"
        return calc.step("backwards head", heads, exact, formula=against, facts=facts, repeat=True)
    return plain_head if len(heads) == 1 else calc.step("with tees", heads, exact, formula=sums)
