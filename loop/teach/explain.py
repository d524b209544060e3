"""The worked explanation of a job: every figure of `check`, in steps for a pocket calculator."""

from loop.check import check
from loop.job import Job, file_numbers
from loop.parts import (
    Bleed,
    CheckValve,
    Condenser,
    Discharge,
    Elbow,
    Fitting,
    Hose,
    Intake,
    Manifold,
    Part,
    Pump,
    Seacock,
    Strainer,
    Tee,
    VentedLoop,
)
from loop.teach.air import start_steps
from loop.teach.balance import balance_steps, depth_steps, pump_pressures, scoop_step
from loop.teach.change import change_steps
from loop.teach.edges import edge_steps
from loop.teach.explanation import Explanation
from loop.teach.fittings import (
    crane_steps,
    discharge_steps,
    fitting_steps,
    intake_steps,
    seacock_steps,
    vented_loop_steps,
)
from loop.teach.heat import heat_steps
from loop.teach.hose import hose_steps
from loop.teach.ledger import Notes
from loop.teach.need import flow_steps, need_steps
from loop.teach.pumping import pump_steps
from loop.teach.rated import condenser_steps, rated_fitting_steps, strainer_steps
from loop.teach.reckoning import Reckoning, open_reckoning
from loop.teach.step import Sum, Value
from loop.teach.tees import manifold_steps

_NONE = Value(0.0, "m", "nothing lost here")
_FILM = Notes(
    "May, Allen & Nelson (2018): the head lost is close to the pocket's height",
    "Water that falls through air gives nothing back: there is no siphon here.",
)
_WITH_TEES = Notes(
    "losses in a row add up", "The tee at a branch's end counts with the part next to it."
)
_AGAINST = Notes(
    "losses in a row add up; against the flow a loss is a gain",
    "The water comes in at the line's far end, so the head rises from its start to its end.",
)


def explain(job: Job) -> Explanation:
    """The full calculation of a job, step by step.

    Every printed result is what its printed inputs give, and is the figure that `check` uses to
    the digits shown. Parts are numbered in the water's order, those inside branches too.
    """
    result = check(job)
    reckoning = open_reckoning(result)
    needs = need_steps(reckoning)
    flow_steps(reckoning)
    pump = _NONE
    for index in range(len(reckoning.network.parts)):
        found = _part_steps(reckoning, index)
        pump = found if index == reckoning.network.pump_index else pump
    given = {**scoop_step(reckoning), "H_pump": pump}
    balance_steps(reckoning, given)
    if result.point.flow > 0:
        pump_pressures(reckoning, given)
        depth_steps(reckoning)
    heat_steps(reckoning, needs)
    start_steps(reckoning)
    edge_steps(reckoning)
    _verdict(reckoning, {name: need for name, (need, _) in needs.items()})
    change_steps(reckoning)
    return Explanation(result, tuple(reckoning.ledger.steps))


def _part_steps(reckoning: Reckoning, index: int) -> Value:
    """A part's steps; its head lost, or of the pump its head given."""
    network, ledger = reckoning.network, reckoning.ledger
    part = network.parts[index]
    branch = f" (branch “{network.branches[index]}”)" if network.branches[index] else ""
    number = file_numbers(network.job.part)[index]
    ledger.begin(f"Part {number}: {network.labels[index]}{branch}", "part", part=index + 1)
    reckoning.heads[index] = _NONE
    if isinstance(part, Manifold):
        manifold_steps(reckoning, next(f for f in network.forks if f.manifold == index))
        return _NONE
    if isinstance(part, Pump):
        return pump_steps(reckoning, part)
    if reckoning.flow(index).value == 0:
        ledger.remark("Nothing flows here", "Water that stands loses no head.")
        return _NONE
    own = _with_film(reckoning, index, _loss_steps(reckoning, index, part))
    reckoning.heads[index] = _with_tees(reckoning, index, own)
    return own


def _loss_steps(reckoning: Reckoning, index: int, part: Part) -> Value:
    match part:
        case Hose():
            return hose_steps(reckoning, index, part)
        case Intake():
            return intake_steps(reckoning, index, part)
        case Seacock():
            return seacock_steps(reckoning, index, part)
        case Strainer():
            return strainer_steps(reckoning, index, part)
        case Condenser():
            return condenser_steps(reckoning, index, part)
        case Tee() | Bleed() | CheckValve() | Elbow():
            return crane_steps(reckoning, index, part)
        case VentedLoop():
            return vented_loop_steps(reckoning, index, part)
        case Discharge():
            return discharge_steps(reckoning, index, part)
        case Fitting(loss=None):
            return fitting_steps(reckoning, index, part)
        case Fitting():
            return rated_fitting_steps(reckoning, index, part)
    raise TypeError(f"no explanation for a part of kind {part.kind!r}")


def _with_film(reckoning: Reckoning, index: int, own: Value) -> Value:
    """Puts the fall in place of the friction where water falls through air in a hose."""
    part = reckoning.network.parts[index]
    films = [piece for piece in reckoning.result.point.films if piece.part == index]
    if not films or not isinstance(part, Hose):
        return own
    share = sum(piece.end - piece.start for piece in films) / part.length
    inputs = {
        "h": own,
        "s": Value(share, "", "the job: share of the hose that holds air"),
        "z_fall": Value(sum(piece.fall for piece in films), "m", "the job: fall of that share"),
    }
    return reckoning.ledger.own_step(
        "Head lost, with air in the falling leg",
        Sum("h_air", "(1 - s) * h + z_fall", inputs),
        (1 - share) * own.value + inputs["z_fall"].value,
        "head",
        _FILM,
    )


def _with_tees(reckoning: Reckoning, index: int, own: Value) -> Value:
    """Adds the manifold's tees to the first and last part of a branch, as `check` counts them."""
    line = reckoning.network.line_of[index]
    ends = reckoning.network.lines[line].parts
    heads = {"h": own}
    if index == ends[0] and line in reckoning.tees:
        heads["h_split"] = reckoning.tees[line]
    if index == ends[-1] and ~line in reckoning.tees:
        heads["h_join"] = reckoning.tees[~line]
    heads = {name: head for name, head in heads.items() if name == "h" or head.value != 0}
    backwards = reckoning.backwards(index)
    if len(heads) == 1 and not backwards:
        return own
    title = "Head lost, with the manifold's tees" if len(heads) > 1 else "Head lost"
    write = reckoning.ledger.own_step if backwards else reckoning.ledger.step
    return write(
        f"{title}, in a line that runs backwards" if backwards else title,
        Sum("h_all", ("-" if backwards else "") + " + ".join(heads), heads),
        reckoning.result.point.stations[index].head_loss,
        "head",
        _AGAINST if backwards else _WITH_TEES,
    )


def _verdict(reckoning: Reckoning, needs: dict[str, Value]) -> None:
    ledger = reckoning.ledger
    for unit in reckoning.result.condensers:
        ledger.begin(f"Does the {unit.name} unit get enough water?", "answer", of=unit.name)
        line = reckoning.network.line_of[reckoning.network.condenser_part(unit.name)]
        ratio = unit.flow / unit.needed_flow
        ledger.step(
            f"Flow over need at the {unit.name} unit",
            Sum("r", "Q / Q_need", {"Q": reckoning.flows[line], "Q_need": needs[unit.name]}),
            ratio,
            "",
            Notes("definition", _enough(unit.flow_low, ratio, unit.needed_flow)),
        )


def _enough(low: float, ratio: float, needed: float) -> str:
    if ratio < 1:
        return "Below 1: the unit is short of water, and condenses hotter than it should."
    if low < needed:
        return "Above 1, but pumps and hoses vary: at the low edge of the band it is short."
    return "Above 1, even at the low edge of the band: the unit gets enough water."
