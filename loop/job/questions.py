"""Questions from which a first job is written: their usual answers, and errors in answers.

Every answer is text as typed; earlier answers affect what is usual for later ones.
"""

import math
from collections.abc import Iterable, Mapping
from itertools import pairwise
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from loop.job.model import FLOW_PER_TON, TON
from loop.job.service import TRADE_BORES
from loop.mistakes import JobError, why
from loop.parts.friction import velocity
from loop.parts.hose import Lining
from loop.parts.pump import CurveReference
from loop.pumps import PumpCurve, catalogue, load_pump, pump_problems, read_pump
from loop.pumps.supply import supply_of, supply_suits
from loop.pumps.writing import plate_tables, plate_values
from loop.questions import EVERY as EVERY
from loop.questions import QUESTIONS as QUESTIONS
from loop.questions import WISHES
from loop.units import System, parse, show
from loop.units.fields import Bore, Cooling, Height, Length, SeaTemperature, Voltage
from loop.units.stated import Rating
from loop.units.text import unit_of
from loop.wrong import wrong

# Answer for "unknown"; the usual answer is used, and remains marked as a guess.
DONT_KNOW = "don't know"
_SYNONYMS = {"dont know", "dk", "?", "unknown", "not known", "no idea", "i don't know"}
# Preferences, which cannot be wrong.
NEVER_GUESSED = (*WISHES, "salinity")

# Practical salinity; 15 stands for brackish water, which runs from 0.5 to 30.
SALINITIES = {"sea": 35.0, "brackish": 15.0, "fresh": 0.0}

_TYPES: dict[str, Any] = {
    "units": System,
    "sea_temperature": SeaTemperature,
    "cooling": Cooling,
    "supply": Voltage,
    "pump": CurveReference,
    "bore": Bore,
    "lining": Lining,
    "intake_height": Height,
    "pump_height": Height,
    "suction_length": Length,
    "strainer_loss": Rating,
    "unit_height": Height,
    "pressure_length": Length,
    "unit_loss": Rating,
    "outlet_height": Height,
}
# Heights that a hose, or two in sequence, must be long enough to join.
_ENDS = {
    "suction_length": ("intake_height", "pump_height"),
    "pressure_length": ("pump_height", "unit_height", "outlet_height"),
}
# Usual values of a small boat, in US and in SI units.
_USUAL: dict[str, tuple[str, str]] = {
    "title": ("My boat, cabin unit", "My boat, cabin unit"),
    "sea_temperature": ("85 degF", "29 degC"),
    "salinity": ("sea", "sea"),
    "cooling": ("12000 BTU/h", "3.5 kW"),
    "supply": ("115 V", "230 V"),
    "lining": ("smooth rubber", "smooth rubber"),
    "intake_height": ("-16 in", "-40 cm"),
    "pump_height": ("-10 in", "-25 cm"),
    "suction_length": ("4 ft", "1.2 m"),
    "unit_height": ("10 in", "25 cm"),
    "outlet_height": ("5 in", "12 cm"),
    "pressure_length": ("16 ft", "4.8 m"),
}
# Length of a hose routed around corners over the height between its ends: engineering estimate.
_ROUTING_FACTOR = 1.5
# Engineering estimates instead of a datasheet: drop [Pa] at this multiple of the required flow.
_UNIT_LOSS = (parse("2.2 psi", "pressure"), 4 / 3)
_STRAINER_LOSS = (parse("0.4 psi", "pressure"), 5 / 3)
# Last flow of a pump's curve over the required flow. Common practice gives a 9,000 BTU/h unit,
# which needs 135 gal/h, a pump rated near 250 gal/h at zero head: 1.85; the curves end slightly
# before that.
_USUAL_PUMP_RATIO = 1.75
# Pumps with a last flow below 1.1 times the need are not offered: engineering estimate.
_MIN_PUMP_RATIO = 1.1
# Speed at the required flow [m/s] (engineering estimate), with a margin below the 1.5 m/s that
# common practice allows in a suction hose.
_HOSE_SPEED = 0.9
# Most files of a folder that are searched for a user's own pumps.
_MAX_FILES = 60


def read_answer(text: str) -> str:
    """An answer as typed; `DONT_KNOW` for any phrase that means it.

    >>> read_answer(" Unknown ")
    "don't know"
    """
    plain = text.strip().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    return DONT_KNOW if plain.lower() in (DONT_KNOW, *_SYNONYMS) else plain


def usual_answer(name: str, answers: Mapping[str, str], folder: str = ".") -> str:
    """The usual answer to one question, given valid answers to others.

    Questions after the cooling and the supply need both among the answers. The path of a pump file
    starts at `folder`.

    >>> usual_answer("pump", {"units": "us", "cooling": "9000 BTU/h", "supply": "115 V"})
    'demo-ac-250'
    """
    units: System = "si" if answers.get("units") == "si" else "us"
    if name == "supply" and "pump" in answers and plate_values(answers["pump"]) is None:
        return show(_pump(answers["pump"], folder).rated_supply, "voltage", units, 0)
    if name == "units":
        return _usual_units(answers)
    if name in _USUAL:
        return _with_reach(name, _USUAL[name][units == "si"], answers)
    need = parse(answers["cooling"], "power") / TON * FLOW_PER_TON
    if name == "pump":
        return _usual_pump(need, parse(answers["supply"], "voltage"))
    if name == "bore":
        wide_enough = (bore for bore in TRADE_BORES if velocity(need, bore) <= _HOSE_SPEED)
        return show(next(wide_enough, TRADE_BORES[-1]), "bore", units)
    drop, factor = _UNIT_LOSS if name == "unit_loss" else _STRAINER_LOSS
    return f"{show(drop, 'pressure', units)} at {show(need * factor, 'flow', units)}"


def _usual_units(answers: Mapping[str, str]) -> System:
    """The system of units that a user seems to prefer: SI for kilowatts, or a supply of 230 V."""
    metric = unit_of(answers.get("cooling", "")).lower() in ("kw", "w")
    european = answers.get("supply", "").replace(" ", "").lower() in ("230v", "220v", "240v")
    return "si" if metric or european else "us"


def complete_answers(
    answers: Mapping[str, str], folder: str = "."
) -> tuple[dict[str, str], frozenset[str]]:
    """An answer to each question, the usual one where unknown; and the names of those guesses.

    Questions missing from `answers` count as unknown.
    """
    given = {name: text for name, text in answers.items() if text != DONT_KNOW}
    complete = dict(given)
    for name in EVERY:
        if name not in complete:
            complete[name] = usual_answer(name, complete, folder)
    return complete, frozenset(EVERY).difference(given, NEVER_GUESSED)


def pumps_that_fit(answers: Mapping[str, str], folder: str = ".") -> tuple[PumpCurve, ...]:
    """Pumps suitable for this cooling on this supply, in order of increasing flow.

    Pumps of the catalogue and of pump files in `folder` that run on this supply and whose last flow
    is at least 1.1 times the need.
    """
    need = parse(answers["cooling"], "power") / TON * FLOW_PER_TON
    supply = supply_of(parse(answers["supply"], "voltage"))
    pumps = [*(load_pump(name) for name in catalogue()), *_user_pumps(folder)]
    suitable = (
        p for p in pumps if supply_suits(supply, p) and p.last_flow >= _MIN_PUMP_RATIO * need
    )
    return tuple(sorted(suitable, key=lambda pump: pump.last_flow))


def _user_pumps(folder: str) -> Iterable[PumpCurve]:
    """Pumps of a user's own files; other files are skipped."""
    for path in sorted(Path(folder).glob("*.toml"))[:_MAX_FILES]:
        try:
            pump = read_pump(path)
        except JobError:
            continue
        yield pump.model_copy(update={"name": path.name})


def _with_reach(name: str, answer: str, answers: Mapping[str, str]) -> str:
    """The usual answer; for a hose too short to reach between the given ends, a longer one."""
    ends = [answers[end] for end in _ENDS.get(name, ()) if end in answers]
    if len(ends) < 2 or _reach_problem(parse(answer, "length"), ends) is None:
        return answer
    unit = answer.split()[1]
    length = _ROUTING_FACTOR * _total_climb(ends)
    return f"{math.ceil(length / parse(f'1 {unit}', 'length'))} {unit}"


def _pump(answer: str, folder: str) -> PumpCurve:
    context = {"text": True, "folder": folder}
    pump: PumpCurve = TypeAdapter(CurveReference).validate_python(answer, context=context)
    return pump


def _usual_pump(need: float, supply: float) -> str:
    """The smallest catalogue pump for this flow [m³/s] on this supply [V]."""
    pumps = sorted((load_pump(name) for name in catalogue()), key=lambda pump: pump.last_flow)
    suitable = [pump for pump in pumps if supply_suits(supply_of(supply), pump)] or pumps
    large_enough = (pump for pump in suitable if pump.last_flow >= _USUAL_PUMP_RATIO * need)
    return next(large_enough, suitable[-1]).name


def answer_error(
    name: str, answer: str, answers: Mapping[str, str], folder: str = "."
) -> str | None:
    """Error in one answer, or None; `DONT_KNOW` is always valid.

    `answers` are the valid answers so far; the path of a pump file starts at `folder`.

    >>> print(answer_error("bore", "3/4", {}))
    '3/4' has no unit; units that fit: in, ft, mm, cm, m; did you mean "3/4 in"?
    """
    if answer == DONT_KNOW:
        return None
    if name == "salinity":
        return _salinity_problem(answer)
    if name not in _TYPES:
        return None
    if name == "pump" and (figures := plate_values(answer)):
        return _plate_problem(figures, answers)
    adapter = TypeAdapter(_TYPES[name])
    try:
        value = adapter.validate_python(answer, context={"text": True, "folder": folder})
    except ValidationError as error:
        if name == "pump" and answer[:1].isdigit():
            return wrong("answer-plate", answer=answer)
        return why(dict(error.errors()[0]))
    if name == "intake_height" and value >= 0:
        return wrong("answer-height", answer=answer, usual=usual_answer(name, answers))
    if isinstance(value, PumpCurve):
        return _supply_problem(value, answers.get("supply", DONT_KNOW))
    ends = [answers.get(end, DONT_KNOW) for end in _ENDS.get(name, ())]
    if ends and DONT_KNOW not in ends:
        return _reach_problem(value, ends)
    return None


def _salinity_problem(answer: str) -> str | None:
    if answer in SALINITIES:
        return None
    try:
        fits = 0 <= float(answer) <= 42
        return None if fits else wrong("answer-salinity-range", answer=answer)
    except ValueError:
        return wrong("answer-salinity", answer=answer, known=", ".join(SALINITIES))


def _plate_problem(figures: Mapping[str, str], answers: Mapping[str, str]) -> str | None:
    supply = answers.get("supply", DONT_KNOW)
    volts = _USUAL["supply"][0] if supply == DONT_KNOW else supply
    try:
        PumpCurve.model_validate(
            plate_tables(figures, "pump", volts, "3/4 in"), context={"text": True}
        )
    except ValueError as error:
        return pump_problems(error)[0]
    return None


def _supply_problem(pump: PumpCurve, supply: str) -> str | None:
    if supply == DONT_KNOW or supply_suits(supply_of(parse(supply, "voltage")), pump):
        return None
    rated = show(pump.rated_supply, "voltage", "us", 0)
    return wrong("answer-supply", pump=pump.name, rated=rated, supply=supply)


def _reach_problem(length: float, ends: list[str]) -> str | None:
    if length >= _total_climb(ends):
        return None
    start, *between, end = ends
    row, over = "answer-reach-over" if between else "answer-reach", wrong("and").join(between)
    return wrong(row, start=start, over=over, end=end)


def _total_climb(ends: list[str]) -> float:
    """Total rise and fall from each height to the next [m]."""
    heights = [parse(end, "length") for end in ends]
    return sum(abs(b - a) for a, b in pairwise(heights))
