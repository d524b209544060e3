"""The steps of what each unit needs, and of the flows that the solver found."""

from loop.hydraulics.network import SEA_IN
from loop.job.model import TON
from loop.teach.ledger import Notes
from loop.teach.reckoning import Reckoning
from loop.teach.step import Sum, Value


def need_steps(reckoning: Reckoning) -> dict[str, tuple[Value, Value]]:
    """Needed flow and rejected heat of each unit."""
    return {
        unit.name: _one(reckoning, number) for number, unit in enumerate(reckoning.job.condenser)
    }


def _one(reckoning: Reckoning, number: int) -> tuple[Value, Value]:
    ledger, unit = reckoning.ledger, reckoning.job.condenser[number]
    ledger.begin(f"What the {unit.name} unit needs", "need", of=unit.name)
    cooling = ledger.given("q_cool", unit.cooling, "heat")
    if unit.flow_needed is not None:
        ledger.given("Q_need", unit.flow_needed, "flow")
        needed = ledger.own_step(
            "Needed flow",
            Sum("Q_need"),
            unit.needed_flow,
            "flow",
            Notes("the unit's maker, as the job gives it", "The flow that the unit needs."),
        )
    else:
        tons = ledger.step(
            "Size of the unit in tons",
            Sum("N_ton", f"q_cool / {TON:.7g}", {"q_cool": cooling}),
            unit.cooling / TON,
            "ton",
            Notes(
                f"1 ton = 12,000 BTU/h = {TON:.7g} W", "The trade's measure of an air conditioner."
            ),
        )
        per_ton = ledger.given("Q_ton", unit.flow_per_ton, "flow")
        needed = ledger.own_step(
            "Needed flow",
            Sum("Q_need", "N_ton * Q_ton", {"N_ton": tons, "Q_ton": per_ton}),
            unit.needed_flow,
            "flow",
            Notes(
                "common practice: 180 gal/h a ton unless the job says otherwise",
                "With less the unit condenses hotter; with more, a little cooler, for more pump"
                " power.",
            ),
        )
    factor = Value(unit.heat_rejection, "", "the job, or common practice")
    heat = ledger.own_step(
        "Heat that the water must carry away",
        Sum("q", "q_cool * r", {"q_cool": cooling, "r": factor}),
        unit.rejected_heat,
        "heat",
        Notes(
            "common practice", "The water carries off the cabin's heat and the compressor's work."
        ),
    )
    return needed, heat


def flow_steps(reckoning: Reckoning) -> None:
    """The flow of every line, as found, and how branches share what the pump delivers."""
    ledger, point, network = reckoning.ledger, reckoning.result.point, reckoning.network
    ledger.begin("The flow", "flow")
    for number, line in enumerate(network.lines):
        first = line.start == SEA_IN
        where = f"branch “{line.branch}”" if line.branch else "the main line"
        ledger.of = line.branch
        ledger.step(
            "Flow that the loop settles at" if first else f"Flow of {where}",
            Sum("Q", digits=6),
            float(point.line_flow[number]),
            "flow",
            Notes(
                "found by trial: the one flow at which the pump's head pays for every loss",
                "Guess a flow, add up the losses, compare with the pump, guess again. The steps"
                " below show that this one balances."
                if first
                else "Branches share so that each way to the sea loses the same head.",
            ),
        )
        flow = Value(float(point.line_flow[number]), "m³/s", f"step {len(ledger.steps)}")
        reckoning.flows[number] = reckoning.sizes[number] = flow
        if flow.value < 0:
            reckoning.sizes[number] = ledger.own_step(
                f"Flow of {where}, which runs backwards",
                Sum("Q_back", "-Q", {"Q": flow}, digits=6),
                -flow.value,
                "flow",
                Notes(
                    "the same flow, in the direction in which it runs",
                    "Below zero means from the end of the branch to its start: the water gets"
                    " there through another branch.",
                ),
            )
