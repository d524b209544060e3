"""Steps of a hose: friction, sweeps, barbs, and their total head loss."""

from collections import Counter

from loop.parts import Hose
from loop.parts.hose import BARB_LENGTH, BARB_OVER_HOSE, BEND_BORES, USUAL_LINING
from loop.teach.calculation import Calculation
from loop.teach.losses import coefficient_head, friction_steps, part_coefficient, velocity_step
from loop.teach.step import Inputs, Value
from loop.words.teaching.steps import PHRASE

# Components of a hose's loss, by symbol prefix.
_PIECES = {"K_f": "length", "K_s": "sweeps", "K_b": "barbs"}


def hose_steps(calc: Calculation, index: int, hose: Hose) -> Value:
    """Every step from the hose's bore to its head loss."""
    flow, bore = calc.flow(index), hose.inner_bore
    speed = velocity_step(calc, flow, bore)
    lining = PHRASE(
        "job" if hose.roughness is not None else "lining", lining=hose.lining or USUAL_LINING
    )
    factor = friction_steps(calc, flow, bore, speed, (hose.roughness_height, lining))
    pieces = {"K_f": calc.step("hose friction", {"f": factor, "L": hose.length, "D": bore})}
    for number, (turn, count) in enumerate(Counter(hose.sweeps).items(), start=1):
        name = "K_s" if number == 1 else f"K_s{number}"
        pieces[name] = _sweep(calc, hose, turn, factor)
        if count > 1:
            pieces[name] = calc.step("sweeps", {"N": count, "K_1": pieces[name]}, symbol=name)
    if hose.barbs:
        pieces["K_b"] = _barbs(calc, flow, hose)
    total = calc.step(
        "hose",
        pieces,
        part_coefficient(calc, index),
        formula=" + ".join(pieces),
        claim=_costliest(calc, index, hose, pieces),
    )
    return coefficient_head(calc, index, total, speed)


def _costliest(calc: Calculation, index: int, hose: Hose, pieces: dict[str, Value]) -> str:
    """The component of a hose's loss that costs most, including the air that it holds as it falls.

    Water that falls through air loses the fall instead of the friction.
    """
    total = part_coefficient(calc, index)
    head = calc.job.fitted.loss * float(hose.head_loss(calc.flow(index).value, calc.network.water))
    share, fall = film_of(calc, index)
    costs = Counter[str]()
    for symbol, piece in pieces.items():
        costs[_PIECES[symbol[:3]]] += (1 - share) * head * piece.value / total  # type: ignore[assignment]
    costs["air"] = fall - share * head  # type: ignore[assignment]
    return max(costs, key=lambda piece: costs[piece])


def film_of(calc: Calculation, index: int) -> tuple[float, float]:
    """Share of a part in which water falls through air, and the fall of that share [m]."""
    part = calc.network.parts[index]
    if not isinstance(part, Hose):
        return 0.0, 0.0
    films = [piece for piece in calc.result.point.films if piece.part == index]
    return sum(one.end - one.start for one in films) / part.length, sum(one.fall for one in films)


def _sweep(calc: Calculation, hose: Hose, turn: float, factor: Value) -> Value:
    radius, origin = BEND_BORES, PHRASE("bend-usual")
    if hose.bend_radius:
        radius = max(hose.bend_radius / hose.inner_bore, 1.0)
        origin = PHRASE("bend-given")
    inputs: Inputs = {"f": factor, "α": turn, "r": radius}
    return calc.step("sweep", inputs, facts={"radius": origin})


def _barbs(calc: Calculation, flow: Value, hose: Hose) -> Value:
    with calc.in_detail():
        barb: Value | float = hose.barb
        if not hose.barb_bore:
            facts = {"share": BARB_OVER_HOSE}
            barb = calc.step("barb bore", {"D": hose.inner_bore}, hose.barb, facts=facts)
        beta = calc.step("barb over hose", {"d": barb, "D": hose.inner_bore})
        jet = calc.step("jet", {"β": beta})
        enter = calc.step("into the barb", {"β": beta, "λ": jet})
        leave = calc.step("out of the barb", {"β": beta})
        quick = velocity_step(calc, flow, barb, " in the barb")
        factor = friction_steps(calc, flow, barb, quick, (0.0, PHRASE("barb-wall")))
    inputs: Inputs = {"N": hose.barbs, "K_in": enter, "K_out": leave, "f": factor, "β": beta}
    return calc.step("barbs", inputs, facts={"long": BARB_LENGTH})
