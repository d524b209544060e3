"""The plain questions from which a first job is written: their usual answers, and what is wrong.

Every answer is text, as a person types it; those asked before shape what is usual for the next.
"""

import math
from collections.abc import Mapping
from typing import Any

from pydantic import TypeAdapter, ValidationError

from loop.job.model import FLOW_PER_TON, TON
from loop.job.service import TRADE_BORES
from loop.mistakes import why
from loop.parts.friction import velocity
from loop.parts.hose import Lining
from loop.parts.pump import CurveReference
from loop.pumps import PumpCurve, catalogue, load_pump
from loop.units import (
    Bore,
    Height,
    Length,
    Power,
    Rating,
    System,
    Temperature,
    Voltage,
    parse,
    show,
)

QUESTIONS = {
    "title": "Boat and unit",
    "units": "Show results in us or si units",
    "sea_temperature": "Warmest sea you expect",
    "salinity": "Water: sea, brackish, fresh or a salinity",
    "cooling": "Cooling of the unit",
    "supply": "Voltage that the pump runs on",
    "pump": "Pump, from `loop pumps`, or a file",
    "bore": "Bore of the hose",
    "lining": "Lining: smooth rubber, smooth plastic or ribbed",
    "intake_height": "Height of the intake (minus: below the water)",
    "pump_height": "Height of the pump (minus: below the water)",
    "suction_length": "Hose from the seacock to the pump, in all",
    "strainer_loss": "Loss of the clean strainer",
    "unit_height": "Height of the unit",
    "run_length": "Hose from the pump to the unit",
    "unit_loss": "Water-side loss of the unit",
    "outlet_height": "Height of the discharge",
    "outlet_length": "Hose from the unit to the discharge",
}

# Practical salinity; 15 stands for brackish water, which runs from 0.5 to 30.
SALINITIES = {"sea": 35.0, "brackish": 15.0, "fresh": 0.0}

_TYPES: dict[str, Any] = {
    "units": System,
    "sea_temperature": Temperature,
    "cooling": Power,
    "supply": Voltage,
    "pump": CurveReference,
    "bore": Bore,
    "lining": Lining,
    "intake_height": Height,
    "pump_height": Height,
    "suction_length": Length,
    "strainer_loss": Rating,
    "unit_height": Height,
    "run_length": Length,
    "unit_loss": Rating,
    "outlet_height": Height,
    "outlet_length": Length,
}
# A hose's two ends, which it must be long enough to join.
_ENDS = {
    "suction_length": ("intake_height", "pump_height"),
    "run_length": ("pump_height", "unit_height"),
    "outlet_length": ("unit_height", "outlet_height"),
}
# What a small boat usually has, in us and in si units.
_USUAL: dict[str, tuple[str, str]] = {
    "title": ("My boat, cabin unit", "My boat, cabin unit"),
    "units": ("us", "us"),
    "sea_temperature": ("85 degF", "29 degC"),
    "salinity": ("sea", "sea"),
    "cooling": ("12000 BTU/h", "3.5 kW"),
    "supply": ("115 V", "230 V"),
    "lining": ("smooth rubber", "smooth rubber"),
    "intake_height": ("-16 in", "-40 cm"),
    "pump_height": ("-10 in", "-25 cm"),
    "suction_length": ("4 ft", "1.2 m"),
    "unit_height": ("10 in", "25 cm"),
    "run_length": ("10 ft", "3 m"),
    "outlet_height": ("5 in", "12 cm"),
    "outlet_length": ("6 ft", "1.8 m"),
}
# A hose that is led round corners, over the height between its ends: engineering estimate.
_ROUND_CORNERS = 1.5
# Engineering estimates, in place of a datasheet: drop [Pa] at so many times the needed flow.
_UNIT_LOSS = (parse("2.2 psi", "pressure"), 4 / 3)
_STRAINER_LOSS = (parse("0.4 psi", "pressure"), 5 / 3)
# Last flow of a pump's curve over the needed flow. Common practice gives a 9,000 BTU/h unit, which
# needs 135 gal/h, a pump rated near 250 gal/h at no head: 1.85; the curves end a little before.
_PUMP_SPARE = 1.75
# Speed at the needed flow [m/s] (engineering estimate): it leaves room below the 1.5 m/s that
# common practice allows in a suction hose.
_HOSE_SPEED = 0.9
# How far a pump's rated voltage may lie from the boat's, as a share of it.
_VOLTAGE_OFF = 0.3


def usual(name: str, answers: Mapping[str, str], folder: str = ".") -> str:
    """The usual answer to one question, beside the right answers to others.

    The cooling and the supply must be among them for the questions after those. The path of a
    pump file starts at `folder`.

    >>> usual("pump", {"units": "us", "cooling": "9000 BTU/h", "supply": "115 V"})
    'demo-ac-250'
    """
    units: System = "si" if answers.get("units") == "si" else "us"
    if name == "supply" and "pump" in answers:
        return show(_pump(answers["pump"], folder).rated_supply, "voltage", units, 0)
    if name in _USUAL:
        return _long_enough(name, _USUAL[name][units == "si"], answers)
    need = parse(answers["cooling"], "power") / TON * FLOW_PER_TON
    if name == "pump":
        return _usual_pump(need, parse(answers["supply"], "voltage"))
    if name == "bore":
        fits = (bore for bore in TRADE_BORES if velocity(need, bore) <= _HOSE_SPEED)
        return show(next(fits, TRADE_BORES[-1]), "bore", units)
    drop, times = _UNIT_LOSS if name == "unit_loss" else _STRAINER_LOSS
    return f"{show(drop, 'pressure', units)} at {show(need * times, 'flow', units)}"


def _long_enough(name: str, answer: str, answers: Mapping[str, str]) -> str:
    """The usual answer, longer where it is a hose that would not reach between the ends given."""
    ends = [answers[end] for end in _ENDS.get(name, ()) if end in answers]
    if len(ends) < 2 or _reach_problem(parse(answer, "length"), *ends) is None:
        return answer
    unit = answer.split()[1]
    climb = abs(parse(ends[1], "length") - parse(ends[0], "length")) / parse(f"1 {unit}", "length")
    return f"{math.ceil(_ROUND_CORNERS * climb)} {unit}"


def _pump(answer: str, folder: str) -> PumpCurve:
    context = {"text": True, "folder": folder}
    pump: PumpCurve = TypeAdapter(CurveReference).validate_python(answer, context=context)
    return pump


def _usual_pump(need: float, supply: float) -> str:
    """The smallest pump of the catalogue for this flow [m³/s] on this supply [V]."""
    pumps = sorted((load_pump(name) for name in catalogue()), key=lambda pump: pump.last_flow)
    fits = [pump for pump in pumps if _runs_on(pump, supply)] or pumps
    enough = (pump for pump in fits if pump.last_flow >= _PUMP_SPARE * need)
    return next(enough, fits[-1]).name


def _runs_on(pump: PumpCurve, supply: float) -> bool:
    return abs(pump.rated_supply - supply) <= _VOLTAGE_OFF * supply


def problem(name: str, answer: str, answers: Mapping[str, str], folder: str = ".") -> str | None:
    """What is wrong with one answer, or None.

    `answers` are those that are right already; the path of a pump file starts at `folder`.

    >>> problem("bore", "3/4", {})
    "'3/4' has no unit; units that fit: in, ft, mm, cm, m"
    """
    if name == "salinity":
        return _salinity_problem(answer)
    if name not in _TYPES:
        return None
    adapter = TypeAdapter(_TYPES[name])
    try:
        value = adapter.validate_python(answer, context={"text": True, "folder": folder})
    except ValidationError as error:
        return why(dict(error.errors()[0]))
    if name == "intake_height" and value >= 0:
        below = usual(name, answers)
        return f"{answer} is not below the water; heights below it have a minus, as {below}"
    if isinstance(value, PumpCurve) and "supply" in answers:
        return _supply_problem(value, answers["supply"])
    if name in _ENDS and all(end in answers for end in _ENDS[name]):
        return _reach_problem(value, *(answers[end] for end in _ENDS[name]))
    return None


def _salinity_problem(answer: str) -> str | None:
    if answer in SALINITIES:
        return None
    try:
        return None if 0 <= float(answer) <= 42 else f"{answer!r} is out of range; 0 to 42"
    except ValueError:
        return f"{answer!r} is not a number from 0 to 42, nor one of: {', '.join(SALINITIES)}"


def _supply_problem(pump: PumpCurve, supply: str) -> str | None:
    if _runs_on(pump, parse(supply, "voltage")):
        return None
    return f"{pump.name} runs on {show(pump.rated_supply, 'voltage', 'us', 0)}, not on {supply}"


def _reach_problem(length: float, start: str, end: str) -> str | None:
    if length >= abs(parse(end, "length") - parse(start, "length")):
        return None
    return f"so short a hose does not reach from {start} to {end}"
