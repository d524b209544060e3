"""The words of an explanation's steps about the pump, and of the headers' tees."""

from collections.abc import Mapping

from loop.teach.words.row import Row
from loop.teach.words.steps_parts import CRANE, IN_A_ROW

_AFFINITY = "affinity laws (Crane TP-410; any pump textbook)"
_CUBIC = (
    "(1 + 2 * t) * (1 - t)**2 * y_1 + t**2 * (3 - 2 * t) * y_2 + t * (1 - t)**2 * w * m_1 - t**2 *"
    " (1 - t) * w * m_2"
)
_SIDE_BY_SIDE = {"N": "the job: pumps side by side"}
_FITTED = "fitted to this boat's own readings"


def _read(what: str, symbol: str, unit: str) -> Row:
    return Row(
        f"{what} read from the curve",
        f"{symbol} = {_CUBIC}",
        "monotone cubic between two points of the datasheet (Fritsch & Butland 1984)",
        "A smooth curve through the datasheet's points; reading it off the paper comes close.",
        {
            "y_1": f"{unit}; datasheet",
            "y_2": f"{unit}; datasheet",
            "w": "m³/s; Q_2 − Q_1",
            "m_1": f"{unit}/(m³/s); curve's slope at the first",
            "m_2": f"{unit}/(m³/s); curve's slope at the second",
        },
    )


def _past(symbol: str, unit: str) -> Row:
    return Row(
        "Read past the curve's end",
        f"{symbol} = y + m * (Q_r - Q_1)",
        "straight on past the last point: nothing was measured there",
        "Treat this figure as a guess.",
        {
            "y": f"{unit}; datasheet, last point",
            "m": f"{unit}/(m³/s); curve's slope",
            "Q_1": "m³/s; datasheet, last point",
        },
    )


def _tee(what: str, letter: str) -> dict[str, Row]:
    """The two steps of one of a tee's streams."""
    return {
        f"tee K_{letter}": Row(
            f"K for the water that {what} at the tee {{where}}",
            f"K_{letter}:",
            f"{CRANE}, tees and wyes",
            {
                "loses": "In velocity heads of the whole flow in the header.",
                "gains": "Below zero: this stream gains head at the tee, and the other pays.",
            },
            {
                "c": "cosine of {angle}°",
                "F": "table for {angle}°",
                "K_1": "the formula's, at a share of {low}",
                "K_2": "the formula's, at a share of {high}",
            },
        ),
        f"tee h_{letter}": Row(
            f"Head lost by the water that {what}",
            f"h_{letter}:head = K_{letter} * V_c**2 / (2 * g)",
            "K velocity heads of the header",
            "A manifold's tees count as fittings do.",
        ),
    }


PUMP: Mapping[str, Row] = {
    "one pump": Row(
        "Flow of one pump",
        "Q_1:flow = Q / N",
        "equal pumps share alike",
        "Each gives its share of the flow.",
        _SIDE_BY_SIDE,
    ),
    "dc speed": Row(
        "Speed over rated speed",
        "n: = U / U_r",
        "permanent-magnet DC motor: speed follows voltage, nearly",
        "Low volts slow a DC pump, and its head falls with the square of its speed.",
        {"U": "V; the job, or the pump's rating", "U_r": "V; datasheet", "W": _FITTED},
    ),
    "ac speed": Row(
        "Speed over rated speed",
        "n: = F / F_r",
        "AC motor: speed follows frequency",
        "Low volts hardly slow an AC pump; they heat its motor. The frequency sets its speed.",
        {"F": "Hz; the job, or the pump's rating", "F_r": "Hz; datasheet", "W": _FITTED},
    ),
    "no speed": Row(
        "Speed over rated speed",
        "n: = n_0",
        "a supply so far off the rating that no speed is right",
        "Put the supply right first: every figure that rests on this speed is a guess.",
        {"n_0": "the limit up to which the affinity laws are asked", "W": _FITTED},
    ),
    "rated flow": Row(
        "Flow at which to read the datasheet",
        "Q_r:flow = Q / n",
        _AFFINITY,
        "A pump's flow goes with its speed.",
        _SIDE_BY_SIDE,
    ),
    "between points": Row(
        "How far between two points of the datasheet",
        "t: = (Q_r - Q_1) / (Q_2 - Q_1)",
        "share of the way",
        "0 is on the first of the two points, 1 on the second.",
        {"Q_1": "m³/s; datasheet", "Q_2": "m³/s; datasheet"},
    ),
    "read head": _read("Head", "H_r:head", "m"),
    "read power": _read("Power", "P_r:power", "W"),
    "read suction": _read("Required suction head", "NPSH_r:head", "m"),
    "past head": _past("H_r:head", "m"),
    "past power": _past("P_r:power", "W"),
    "past suction": _past("NPSH_r:head", "m"),
    "pump head": Row(
        "Pump's head at this flow",
        "H_pump:head = {times}n**2 * H_r",
        _AFFINITY,
        "What the loop has to spend at this flow.",
    ),
    "power": Row(
        "Power that the pump draws",
        "P:power = {times}n**3 * P_r",
        _AFFINITY,
        "What the pump draws while it runs.",
    ),
    "shut-off head": Row(
        "Shut-off head",
        "H_0:head = {times}n**2 * H_r0",
        _AFFINITY,
        "The head at no flow: the most that the pump makes.",
        {"H_r0": "m; datasheet: head at no flow"},
    ),
    "combined": Row(
        "Combined flow at the tee {where}",
        "Q_c:flow",
        "no water is lost",
        "What comes to a tee leaves it.",
    ),
    "share": Row(
        "Share that the branch takes",
        "s: = Q_1 / Q_c",
        "definition; held between 0 and 1",
        "A tee's loss depends on who gets how much.",
    ),
    "area ratio": Row(
        "Area of the branch over area of the header",
        "b: = (d / D)**2",
        "definition",
        "The narrower the branch, the faster the water in it.",
        {"d": "bore", "D": "bore"},
    ),
    **_tee("turns", "b"),
    **_tee("runs on", "r"),
    "tees": Row(
        "Head lost in the tees {where}",
        "h_tee:head",
        IN_A_ROW,
        "The farther along the header, the more tees to pass.",
    ),
}
