"""Steps of the head balance: heads supplied, heads lost, pressures at the pump, suction."""

import math

from loop.curve import MonotoneCurve
from loop.hydraulics.network import SEA_IN
from loop.margins.suction import NPSH_RATIO, VORTEX_FACTOR, intake_depth
from loop.parts import Discharge
from loop.parts.friction import ROUNDING
from loop.parts.intake import SCOOP
from loop.seawater import ATMOSPHERE
from loop.teach.calculation import Calculation, gravity
from loop.teach.losses import part_velocity, velocity_step
from loop.teach.pumping import at_rated_speed, port_velocity, read_curve
from loop.teach.step import Inputs, StepTable, Value
from loop.teach.water_paths import WaterPath, water_paths
from loop.units import show


def scoop_step(calc: Calculation) -> dict[str, Value]:
    """Head from the boat's speed at the intake, by its symbol; empty where there is none."""
    facing, head = calc.job.intake.facing, calc.network.start_head
    if head == 0:
        return {}
    calc.begin_section("scoop")
    inputs: Inputs = {"c": SCOOP[facing], "V_b": calc.job.boat.speed, "g": gravity()}
    claim = "gains" if head > 0 else "loses"
    return {"H_scoop": calc.step("scoop", inputs, head, claim=claim, facts={"facing": facing})}


def balance_steps(calc: Calculation, supplied: dict[str, Value]) -> None:
    """For every flow path from sea to sea: heads supplied and lost, and that they balance."""
    for path in water_paths(calc.network, calc.result.point.line_flow):
        calc.begin_section("balance", path.name)
        if not path.runs:
            calc.remark("dry way")
            continue
        if any(calc.flows[line].value < 0 for line in path.lines):
            calc.remark("other way")
        from_sea = calc.network.lines[path.lines[0]].start == SEA_IN
        _path_steps(calc, path, supplied if from_sea else {})


def _path_steps(calc: Calculation, path: WaterPath, supplied: dict[str, Value]) -> None:
    last = calc.network.lines[path.lines[-1]]
    outlet = calc.network.parts[last.parts[-1]]
    assert isinstance(outlet, Discharge)
    heights = {"z_out": outlet.height}
    claim = _behind_high_points(calc, path)
    static = calc.step("static", heights, last.outlet_head, claim=claim, repeat=True)
    parts = [i for i in path.parts if calc.heads[i].value != 0]
    heads = {f"h_{i + 1}": calc.heads[i] for i in parts}
    signs = ["-" if calc.backwards(i) else "+" for i in parts]
    terms = " ".join(f"{sign} {name}" for sign, name in zip(signs, heads, strict=True))
    calc.step(
        "lost", heads, formula=terms.removeprefix("+ "), table=_table(calc, parts), repeat=True
    )
    spent = f"{' + '.join(supplied)} - H_static".strip()
    calc.step("left", {**supplied, "H_static": static}, formula=spent, repeat=True)


def _behind_high_points(calc: Calculation, path: WaterPath) -> str:
    """Whether the water falling after a path's high points recovers their height."""
    point = calc.result.point
    if any(piece.part in path.parts for piece in point.films):
        return "air"
    falls = any({leg.from_part, leg.to_part} <= set(path.parts) for leg in point.network.legs)
    return "full" if falls else "rises"


def _table(calc: Calculation, parts: list[int]) -> StepTable:
    """The parts on a flow path with their head and its share, the largest first."""
    network, system = calc.network, calc.system
    whole = calc.result.head_given
    ranked = sorted(parts, key=lambda index: -calc.heads[index].value)
    return tuple(
        (
            f"h_{index + 1}, {network.labels[index]}",
            show(calc.heads[index].value, "head", system, 2),
            show(calc.heads[index].value / whole, "ratio", system) if whole > 0 else "",
        )
        for index in ranked
    )


def pump_pressures(calc: Calculation, supplied: dict[str, Value]) -> None:
    """Total head and gauge pressure at the pump's inlet and outlet; NPSH."""
    point, index = calc.result.point, calc.network.pump_index
    calc.begin_section("pressures")
    heads = {f"h_{i + 1}": calc.heads[i] for i in range(index) if calc.heads[i].value != 0}
    scoop = {name: head for name, head in supplied.items() if name == "H_scoop"}
    formula = " - ".join([*scoop, *heads]) if scoop else f"-({' + '.join(heads)})"
    total = point.pump_inlet.total_head
    inlet = calc.step("inlet head", {**scoop, **heads}, total, formula=formula)
    _gauge(calc, "inlet", inlet, point.pump_inlet.height, part_velocity(calc, index - 1))
    total = point.stations[index].total_head
    outlet = calc.step("outlet head", {"H_in": inlet, "H_pump": supplied["H_pump"]}, total)
    _gauge(calc, "outlet", outlet, point.stations[index].height, port_velocity(calc))
    _npsh(calc, inlet)


def _gauge(calc: Calculation, end: str, head: Value, height: float, speed: Value) -> None:
    index = calc.network.pump_index
    pressure = calc.result.point.stations[index - (end == "inlet")].gauge_pressure
    inlet_claim = "vacuum" if pressure < 0 else "pressure"
    calc.step(
        "gauge",
        {"ρ": calc.water["ρ"], "g": gravity(), "H": head, "z": height, "V": speed},
        pressure,
        symbol=f"p_{end.removesuffix('let')}",
        claim=inlet_claim if end == "inlet" else end,
        facts={"end": end},
    )


def _npsh(calc: Calculation, inlet: Value) -> None:
    """NPSH at the pump's inlet, and what its datasheet requires."""
    available, required = calc.result.pump.npsh_available, calc.result.pump.npsh_required
    water = {"p_v": calc.water["p_v"], "ρ": calc.water["ρ"], "g": gravity()}
    height = calc.network.heights[calc.network.pump_index]
    calc.step("npsh", {"p_a": ATMOSPHERE, **water, "H_in": inlet, "z_p": height}, available)
    curve = calc.network.pump.curve
    if curve.curve.npsh_required is None or not math.isfinite(required):
        return
    row = MonotoneCurve(curve.head_curve.x, curve.curve.npsh_required.si("length"))
    speed, rated = at_rated_speed(calc)
    with calc.in_detail():
        read = read_curve(calc, row, rated, "suction")
    enough = "enough" if available >= NPSH_RATIO * required else "near"
    calc.step(
        "npsh needed",
        {"n": speed, "NPSH_r": read},
        required,
        claim="short" if available < required else enough,
        facts={"ratio": NPSH_RATIO},
    )


def depth_steps(calc: Calculation) -> None:
    """Depth of the intake in the boat's worst attitude, and the depth that it needs."""
    boat, intake = calc.job.boat, calc.job.intake
    calc.begin_section("depth")
    flow = calc.flow(0)
    depth = intake_depth(intake, boat, flow.value)
    terms = {
        "z": ("-z", intake.height),
        "y": (" - y * sin(α)", abs(intake.off_centre or 0.0)),
        "x": (" - x * sin(β)", abs(intake.fore_aft or 0.0)),
        "w": (" - w / 2", boat.wave_height),
        "r": (" - r", boat.light_rise),
    }
    used = {name: term for name, term in terms.items() if name == "z" or term[1] != 0}
    inputs = {name: value for name, (_, value) in used.items()}
    for offset, symbol, angle in (("y", "α", boat.heel), ("x", "β", boat.trim)):
        if offset in inputs:
            inputs[symbol] = abs(angle)
    formula = "".join(term for term, _ in used.values())
    calc.step("depth", inputs, depth.worst, formula=formula)
    speed = velocity_step(calc, flow, intake.inner_bore)
    calc.step(
        "depth needed",
        {"D": intake.inner_bore, "V": speed, "g": gravity()},
        depth.needed,
        claim="deep" if depth.short_by <= ROUNDING else "shallow",
        facts={"vortex": VORTEX_FACTOR},
    )
