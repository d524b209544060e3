"""Steps of the pump: its speed, its head at the flow, its power, its shut-off head."""

import math

from loop.curve import MonotoneCurve
from loop.parts import Pump
from loop.parts.pump import FASTEST, SLOWEST
from loop.teach.calculation import Calculation
from loop.teach.losses import velocity_step
from loop.teach.step import Inputs, Value


def pump_steps(calc: Calculation, pump: Pump) -> Value:
    """Speed, rated flow, head and power; returns the pump's head."""
    point = calc.result.point
    port_velocity(calc)
    speed, rated = at_rated_speed(calc)
    with calc.in_detail():
        head = read_curve(calc, pump.curve.head_curve, rated, "head")
    times = {"times": f"{pump.in_series} * " if pump.in_series > 1 else ""}
    found = calc.step("pump head", {"n": speed, "H_r": head}, point.pump_head, facts=times)
    curve = pump.curve.power_curve
    if curve is not None and not point.past_curve:
        with calc.in_detail():
            read = read_curve(calc, curve, rated, "power")
        pumps = {"times": f"{pump.count} * " if pump.count > 1 else ""}
        calc.step("power", {"n": speed, "P_r": read}, point.power, facts=pumps)
    top: Inputs = {"n": speed, "H_r0": pump.curve.shutoff_head}
    calc.step("shut-off head", top, point.shutoff_head, facts=times)
    return found


def port_velocity(calc: Calculation) -> Value:
    """Velocity in the pump's port; pumps in parallel share the flow."""
    pump, flow = calc.network.pump, calc.flow(calc.network.pump_index)
    if pump.in_parallel > 1:
        flow = calc.step("one pump", {"Q": flow, "N": pump.in_parallel})
    return velocity_step(calc, flow, pump.inner_bore, " in the port")


def at_rated_speed(calc: Calculation) -> tuple[Value, Value]:
    """The pump's speed relative to rated, and the flow at which to read its datasheet."""
    pump, flow = calc.network.pump, calc.flow(calc.network.pump_index)
    speed = _speed(calc, pump)
    inputs: Inputs = {"Q": flow, "n": speed}
    formula = None
    if pump.in_parallel > 1:
        inputs["N"], formula = pump.in_parallel, "Q / (n * N)"
    return speed, calc.step("rated flow", inputs, formula=formula)


def _speed(calc: Calculation, pump: Pump) -> Value:
    curve, fitted = pump.curve, calc.job.fitted.pump
    hertz = curve.rated_frequency or math.nan
    row, formula = "ac speed", "F / F_r"
    inputs: Inputs = {"F": pump.frequency or hertz, "F_r": hertz}
    if curve.drive == "dc":
        row, formula = "dc speed", "U / U_r"
        inputs = {"U": pump.voltage, "U_r": curve.rated_supply}
    if pump.speed in (SLOWEST, FASTEST):
        row, formula, inputs = "no speed", "n_0", {"n_0": pump.speed}
    if fitted != 1:
        formula, inputs = f"{formula} * W", {**inputs, "W": fitted}
    return calc.step(row, inputs, pump.speed * fitted, formula=formula)


def read_curve(calc: Calculation, curve: MonotoneCurve, flow: Value, what: str) -> Value:
    """A value read from a datasheet curve at a flow: head, power or suction head."""
    x, y = curve.x, curve.y
    exact = float(curve.extended(flow.value))
    if flow.value > x[-1]:
        slope = float(curve.extended_with_slope(flow.value)[1])
        last: Inputs = {"y": float(y[-1]), "m": slope, "Q_r": flow, "Q_1": float(x[-1])}
        return calc.step("past head", last, exact)
    node = min(int((x <= flow.value).sum()) - 1, len(x) - 2)
    low, high = float(x[node]), float(x[node + 1])
    slopes = [float(curve.extended_with_slope(x[i])[1]) for i in (node, node + 1)]
    share = calc.step("between points", {"Q_r": flow, "Q_1": low, "Q_2": high})
    heights = {"y_1": float(y[node]), "y_2": float(y[node + 1])}
    inputs: Inputs = {"t": share, **heights, "w": high - low, "m_1": slopes[0], "m_2": slopes[1]}
    return calc.step(f"read {what}", inputs, exact)
