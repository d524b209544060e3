"""The steps of the pump: its speed, its head at the flow, its power, its shut-off head."""

import math

from loop.curve import MonotoneCurve
from loop.parts import Pump
from loop.parts.pump import FASTEST, SLOWEST
from loop.teach.ledger import Notes
from loop.teach.losses import velocity_step
from loop.teach.reckoning import Reckoning
from loop.teach.step import Sum, Value

_AFFINITY = "affinity laws (Crane TP-410; any pump textbook)"
_CUBIC = (
    "(1 + 2 * t) * (1 - t)**2 * y_1 + t**2 * (3 - 2 * t) * y_2 + t * (1 - t)**2 * w * m_1 - t**2 *"
    " (1 - t) * w * m_2"
)
_LOW_VOLTS = {
    "dc": "Low volts slow a DC pump, and its head falls with the square of its speed.",
    "ac": "Low volts do not slow an AC pump; they heat its motor. The frequency sets its speed.",
}
_BETWEEN = Notes(
    "monotone cubic between two points of the datasheet (Fritsch & Butland 1984)",
    "A smooth curve through the datasheet's points; reading it off the paper comes close.",
)


def pump_steps(reckoning: Reckoning, pump: Pump) -> Value:
    """Speed, rated flow, head and power; gives the pump's head."""
    ledger, point = reckoning.ledger, reckoning.result.point
    port_velocity(reckoning)
    speed, rated = at_rated_speed(reckoning)
    with ledger.in_detail():
        head = read_curve(reckoning, pump.curve.head_curve, rated, ("H_r", "head"))
    in_line = f"{pump.in_series} * " if pump.in_series > 1 else ""
    found = ledger.step(
        "Pump's head at this flow",
        Sum("H_pump", f"{in_line}n**2 * H_r", {"n": speed, "H_r": head}),
        point.pump_head,
        "head",
        Notes(_AFFINITY, "What the loop has to spend at this flow."),
    )
    _power(reckoning, pump, rated, speed)
    top = Value(pump.curve.shutoff_head, "m", "datasheet: head at no flow")
    ledger.step(
        "Shut-off head",
        Sum("H_0", f"{in_line}n**2 * H_r0", {"n": speed, "H_r0": top}),
        point.shutoff_head,
        "head",
        Notes(_AFFINITY, "The head at no flow: the most that the pump makes."),
    )
    return found


def port_velocity(reckoning: Reckoning) -> Value:
    """Velocity in the port of the pump; pumps side by side share the flow."""
    ledger, pump = reckoning.ledger, reckoning.network.pump
    flow = reckoning.flow(reckoning.network.pump_index)
    if pump.in_parallel > 1:
        count = Value(pump.in_parallel, "", "the job: pumps side by side")
        flow = ledger.step(
            "Flow of one pump",
            Sum("Q_1", "Q / N", {"Q": flow, "N": count}),
            flow.value / pump.in_parallel,
            "flow",
            Notes("equal pumps share alike", "Each gives its share of the flow."),
        )
    bore = ledger.given("D", pump.inner_bore, "bore")
    return velocity_step(ledger, flow, bore, "Velocity in the port")


def at_rated_speed(reckoning: Reckoning) -> tuple[Value, Value]:
    """The pump's speed over its rated one, and the flow at which its datasheet is to be read."""
    pump, flow = reckoning.network.pump, reckoning.flow(reckoning.network.pump_index)
    speed = _speed(reckoning, pump)
    inputs, formula = {"Q": flow, "n": speed}, "Q / n"
    if pump.in_parallel > 1:
        inputs["N"] = Value(pump.in_parallel, "", "the job: pumps side by side")
        formula = "Q / (n * N)"
    rated = reckoning.ledger.step(
        "Flow at which to read the datasheet",
        Sum("Q_r", formula, inputs),
        flow.value / (speed.value * pump.in_parallel),
        "flow",
        Notes(_AFFINITY, "Flow goes with speed."),
    )
    return speed, rated


def _speed(reckoning: Reckoning, pump: Pump) -> Value:
    curve, fitted = pump.curve, reckoning.job.fitted.pump
    if curve.drive == "dc":
        inputs = {
            "U": Value(pump.voltage, "V", "the job, or the pump's rating"),
            "U_r": Value(curve.rated_supply, "V", "datasheet"),
        }
        formula, law = "U / U_r", "permanent-magnet DC motor: speed follows voltage, nearly"
    else:
        hertz = curve.rated_frequency or math.nan
        inputs = {
            "F": Value(pump.frequency or hertz, "Hz", "the job, or the pump's rating"),
            "F_r": Value(hertz, "Hz", "datasheet"),
        }
        formula, law = "F / F_r", "AC motor: speed follows frequency"
    if pump.speed in (SLOWEST, FASTEST):
        inputs = {"n_0": Value(pump.speed, "", "the limit up to which the affinity laws are asked")}
        formula, law = "n_0", "a supply so far off the rating that no speed is right"
    if fitted != 1:
        inputs["W"] = Value(fitted, "", "fitted to this boat's own readings")
        formula += " * W"
    return reckoning.ledger.step(
        "Speed over rated speed",
        Sum("n", formula, inputs),
        pump.speed * fitted,
        "",
        Notes(law, _LOW_VOLTS[curve.drive]),
    )


def _power(reckoning: Reckoning, pump: Pump, rated: Value, speed: Value) -> None:
    curve = pump.curve.power_curve
    if curve is None or reckoning.result.point.past_curve:
        return
    with reckoning.ledger.in_detail():
        read = read_curve(reckoning, curve, rated, ("P_r", "power"))
    formula = f"{pump.count} * n**3 * P_r" if pump.count > 1 else "n**3 * P_r"
    reckoning.ledger.step(
        "Power that the pump draws",
        Sum("P", formula, {"n": speed, "P_r": read}),
        reckoning.result.point.power,
        "power",
        Notes(_AFFINITY, "What the pump draws while it runs."),
    )


def read_curve(
    reckoning: Reckoning, curve: MonotoneCurve, flow: Value, read: tuple[str, str]
) -> Value:
    """A figure read from a curve of the datasheet at a flow; `read` gives symbol and quantity."""
    ledger, (symbol, quantity) = reckoning.ledger, read
    x, y = curve.x, curve.y
    exact = float(curve.extended(flow.value))
    unit = "W" if quantity == "power" else "m"
    if flow.value > x[-1]:
        inputs = {
            "y": Value(float(y[-1]), unit, "datasheet, last point"),
            "m": Value(
                float(curve.extended_with_slope(flow.value)[1]), f"{unit}/(m³/s)", "curve's slope"
            ),
            "Q_r": flow,
            "Q_1": Value(float(x[-1]), "m³/s", "datasheet, last point"),
        }
        notes = Notes(
            "straight on past the last point: nothing was measured", "Treat it as a guess."
        )
        return ledger.step(
            "Read past the curve's end",
            Sum(symbol, "y + m * (Q_r - Q_1)", inputs),
            exact,
            quantity,
            notes,
        )
    node = min(int((x <= flow.value).sum()) - 1, len(x) - 2)
    low, high = (Value(float(x[i]), "m³/s", "datasheet") for i in (node, node + 1))
    slopes = [float(curve.extended_with_slope(x[i])[1]) for i in (node, node + 1)]
    share = ledger.step(
        "How far between two points of the datasheet",
        Sum("t", "(Q_r - Q_1) / (Q_2 - Q_1)", {"Q_r": flow, "Q_1": low, "Q_2": high}),
        (flow.value - low.value) / (high.value - low.value),
        "",
        Notes("share of the way", "0 is on the first of the two points, 1 on the second."),
    )
    inputs = {
        "t": share,
        "y_1": Value(float(y[node]), unit, "datasheet"),
        "y_2": Value(float(y[node + 1]), unit, "datasheet"),
        "w": Value(high.value - low.value, "m³/s", "Q_2 − Q_1"),
        "m_1": Value(slopes[0], f"{unit}/(m³/s)", "curve's slope at the first"),
        "m_2": Value(slopes[1], f"{unit}/(m³/s)", "curve's slope at the second"),
    }
    what = {"H_r": "Head", "P_r": "Power", "NPSH_r": "Required suction head"}[symbol]
    title = f"{what} read from the curve"
    return ledger.step(title, Sum(symbol, _CUBIC, inputs), exact, quantity, _BETWEEN)
