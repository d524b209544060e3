"""The steps that show the balance: heads given, heads spent, pressures at the pump, suction."""

import math

from loop.curve import MonotoneCurve
from loop.hydraulics.network import SEA_IN
from loop.margins.suction import NPSH_RATIO, VORTEX, intake_depth
from loop.parts import Discharge
from loop.parts.intake import SCOOP
from loop.seawater import ATMOSPHERE
from loop.teach.ledger import Notes
from loop.teach.losses import velocity_step
from loop.teach.pumping import at_rated_speed, port_velocity, read_curve
from loop.teach.reckoning import Reckoning, gravity
from loop.teach.step import Row, Sum, Value
from loop.teach.ways import WaterWay, water_ways
from loop.units import show

_ADD = "losses in a row add up"


def scoop_step(reckoning: Reckoning) -> dict[str, Value]:
    """Head that the boat's speed adds at the intake, by its symbol; none at rest."""
    ledger, boat, intake = reckoning.ledger, reckoning.job.boat, reckoning.job.intake
    if reckoning.network.start_head == 0:
        return {}
    ledger.begin("Under way", "scoop")
    share = Value(SCOOP[intake.facing], "", f"engineering estimate: facing {intake.facing}")
    speed = ledger.given("V_b", boat.speed, "speed")
    scoop = ledger.step(
        "Head gained from the boat's speed",
        Sum("H_scoop", "c * V_b**2 / (2 * g)", {"c": share, "V_b": speed, "g": gravity()}),
        reckoning.network.start_head,
        "head",
        Notes("engineering estimate", "At rest it is nothing: do not count on it."),
    )
    return {"H_scoop": scoop}


def balance_steps(reckoning: Reckoning, given: dict[str, Value]) -> None:
    """For every way from sea to sea: what it is given, what it loses, and that they agree."""
    for way in water_ways(reckoning.network, reckoning.result.point.line_flow):
        name = way.name
        by_way = f", by way of “{name}”" if name else ""
        reckoning.ledger.begin(f"Where the head goes{by_way}", "balance", of=name)
        if not way.runs:
            reckoning.ledger.remark(
                "Nothing flows this way",
                "Water that stands loses no head: a valve is shut, or the pump cannot lift it to"
                " the outlet.",
            )
            continue
        if any(reckoning.flows[line].value < 0 for line in way.lines):
            reckoning.ledger.remark(
                "The water comes by another branch",
                "Part of this way it runs backwards, and what it loses there is counted as it"
                " runs.",
            )
        drawn = reckoning.network.lines[way.lines[0]].start == SEA_IN
        _one_way(reckoning, way, given if drawn else {})


def _one_way(reckoning: Reckoning, way: WaterWay, given: dict[str, Value]) -> None:
    ledger, network = reckoning.ledger, reckoning.network
    last = network.lines[way.lines[-1]]
    outlet = network.parts[last.parts[-1]]
    assert isinstance(outlet, Discharge)
    height = ledger.given("z_out", outlet.height, "height")
    static = ledger.own_step(
        "Static head",
        Sum("H_static", "max(z_out, 0)", {"z_out": height}),
        last.outlet_head,
        "head",
        Notes(
            "the jet leaves at its own height; under water, at the sea's pressure",
            "The lift that stays however small the flow. A high point on the way costs nothing"
            " more as long as the line behind it runs full.",
        ),
    )
    parts = [i for i in way.parts if reckoning.heads[i].value != 0]
    heads = {f"h_{i + 1}": reckoning.heads[i] for i in parts}
    signs = ["-" if reckoning.backwards(i) else "+" for i in parts]
    terms = " ".join(f"{sign} {name}" for sign, name in zip(signs, heads, strict=True))
    ledger.own_step(
        "Head lost on the way, all parts together",
        Sum("h_lost", terms.removeprefix("+ "), heads),
        sum(
            -head.value if sign == "-" else head.value
            for sign, head in zip(signs, heads.values(), strict=True)
        ),
        "head",
        Notes(
            f"{_ADD}; h_n is the loss of part n",
            "The largest losses are where there is something to gain.",
        ),
        rows=_table(reckoning, parts),
    )
    ledger.own_step(
        "Head left for the losses",
        Sum("h_left", f"{' + '.join(given)} - H_static".strip(), {**given, "H_static": static}),
        sum(head.value for head in given.values()) - static.value,
        "head",
        Notes(
            "energy equation (Bernoulli), from sea to sea",
            "The same as what is lost: at this flow, and no other, the loop balances.",
        ),
    )


def _table(reckoning: Reckoning, parts: list[int]) -> tuple[Row, ...]:
    """The parts on a way with the head that each takes, the largest first, and its share."""
    network, system = reckoning.network, reckoning.job.units
    whole = reckoning.result.point.pump_head
    ranked = sorted(parts, key=lambda index: -reckoning.heads[index].value)
    return tuple(
        (
            f"h_{index + 1}, {network.labels[index]}",
            show(reckoning.heads[index].value, "head", system, 2),
            show(reckoning.heads[index].value / whole, "ratio", system) if whole > 0 else "",
        )
        for index in ranked
    )


def pump_pressures(reckoning: Reckoning, given: dict[str, Value]) -> None:
    """Total head and gauge pressure at the pump's inlet and outlet; NPSH."""
    ledger, point, network = reckoning.ledger, reckoning.result.point, reckoning.network
    ledger.begin("Pressures at the pump", "pressures")
    index = network.pump_index
    before = {f"h_{i + 1}": reckoning.heads[i] for i in range(index)}
    heads = {name: head for name, head in before.items() if head.value != 0}
    scoop = {name: head for name, head in given.items() if name == "H_scoop"}
    inlet = ledger.step(
        "Total head at the pump's inlet",
        Sum(
            "H_in",
            " - ".join([*scoop, *heads]) if scoop else f"-({' + '.join(heads)})",
            {**scoop, **heads},
        ),
        point.pump_inlet.total_head,
        "head",
        Notes(
            "the sea's head less every loss up to here",
            "What is lost before the pump can make it cavitate; what is lost after it cannot.",
        ),
    )
    height = ledger.given("z", point.pump_inlet.height, "height")
    _pressure(reckoning, "inlet", {"H": inlet, "z": height}, index - 1)
    outlet = ledger.step(
        "Total head at the pump's outlet",
        Sum("H_out", "H_in + H_pump", {"H_in": inlet, "H_pump": given["H_pump"]}),
        point.stations[index].total_head,
        "head",
        Notes("the pump adds its head", "It is spent on the way from here to the sea."),
    )
    height = ledger.given("z", point.stations[index].height, "height")
    _pressure(reckoning, "outlet", {"H": outlet, "z": height}, index)
    _npsh(reckoning, inlet)
    _npsh_required(reckoning)


def _pressure(reckoning: Reckoning, where: str, at: dict[str, Value], index: int) -> None:
    station = reckoning.result.point.stations[index]
    if index == reckoning.network.pump_index:
        at["V"] = port_velocity(reckoning)
    else:
        bore = reckoning.ledger.given("D", reckoning.network.parts[index].inner_bore, "bore")
        at["V"] = velocity_step(reckoning.ledger, reckoning.flow(index), bore)
    meaning = (
        "What a gauge there shows. Below zero a loose clamp draws air in instead of dripping."
        if where == "inlet"
        else "What a gauge there shows: write it down while all is clean, to compare with later."
    )
    reckoning.ledger.step(
        f"Gauge pressure at the pump's {where}",
        Sum(
            f"p_{where[:-3]}",
            "ρ * g * (H - z - V**2 / (2 * g))",
            {"ρ": reckoning.water["ρ"], "g": gravity(), **at},
        ),
        station.gauge_pressure,
        "pressure",
        Notes("Bernoulli", meaning),
    )


def _npsh(reckoning: Reckoning, inlet: Value) -> None:
    ledger, network = reckoning.ledger, reckoning.network
    height = ledger.given("z_p", network.heights[network.pump_index], "height")
    air = Value(ATMOSPHERE, "Pa", "standard atmosphere")
    inputs = {"p_a": air, "p_v": reckoning.water["p_v"], "ρ": reckoning.water["ρ"]}
    ledger.step(
        "Suction head available (NPSH)",
        Sum(
            "NPSH",
            "(p_a - p_v) / (ρ * g) + H_in - z_p",
            {**inputs, "g": gravity(), "H_in": inlet, "z_p": height},
        ),
        reckoning.result.pump.npsh_available,
        "head",
        Notes(
            "Crane TP-410; any pump textbook",
            f"How far the water is from boiling in the pump: at least {NPSH_RATIO:g} times what it"
            " requires (common practice).",
        ),
    )


def _npsh_required(reckoning: Reckoning) -> None:
    required = reckoning.result.pump.npsh_required
    curve = reckoning.network.pump.curve
    if curve.curve.npsh_required is None or not math.isfinite(required):
        return
    row = MonotoneCurve(curve.head_curve.x, curve.curve.npsh_required.si("length"))
    speed, rated = at_rated_speed(reckoning)
    with reckoning.ledger.in_detail():
        read = read_curve(reckoning, row, rated, ("NPSH_r", "head"))
    reckoning.ledger.step(
        "Suction head that the pump requires (NPSH required)",
        Sum("NPSH_need", "n**2 * NPSH_r", {"n": speed, "NPSH_r": read}),
        required,
        "head",
        Notes(
            "affinity laws",
            "With less at its inlet the water boils in the pump: noise and damage.",
        ),
    )


def depth_steps(reckoning: Reckoning) -> None:
    """Depth of the intake in the boat's worst attitude, and the depth it needs."""
    ledger, boat, intake = reckoning.ledger, reckoning.job.boat, reckoning.job.intake
    ledger.begin("The intake's depth", "depth")
    flow = reckoning.flow(0)
    depth = intake_depth(intake, boat, flow.value)
    terms = {
        "-z": ("z", intake.height, "height"),
        " - y * sin(α)": ("y", abs(intake.off_centre), "length"),
        " - x * sin(β)": ("x", abs(intake.fore_aft), "length"),
        " - w / 2": ("w", boat.wave_height, "height"),
        " - r": ("r", boat.light_rise, "height"),
    }
    used = {term: figure for term, figure in terms.items() if term == "-z" or figure[1] != 0}
    inputs = {figure[0]: ledger.given(*figure) for figure in used.values()}
    angles = {"y": ("α", boat.heel), "x": ("β", boat.trim)}
    for offset, (symbol, angle) in angles.items():
        if offset in inputs:
            inputs[symbol] = ledger.given(symbol, abs(angle), "angle")
    ledger.step(
        "Depth of the intake at worst",
        Sum("S", "".join(used), inputs),
        depth.worst,
        "height",
        Notes(
            "heel, trim, half a wave, and a light hull",
            "Heel lifts an intake that is off the centerline.",
        ),
    )
    bore = ledger.given("D", intake.inner_bore, "bore")
    speed = velocity_step(ledger, flow, bore)
    ledger.step(
        "Depth that keeps air out",
        Sum(
            "S_need",
            f"D * (1 + {VORTEX:g} * V / sqrt(g * D))",
            {"D": bore, "V": speed, "g": gravity()},
        ),
        depth.needed,
        "height",
        Notes("ANSI/HI 9.8", "Any shallower, a whirl can draw air down into the intake."),
    )
