"""Write a pump file from plain answers: what a person knows about the pump, as text with units."""

from collections.abc import Callable, Mapping
from typing import Any

from loop.pumps.datasheet import Datasheet
from loop.pumps.nameplate import head_of
from loop.pumps.supply import MAX_DC, read_supply
from loop.questions import PUMP_QUESTIONS as PUMP_QUESTIONS
from loop.tomlfile import value_of
from loop.units import UnitError, parse
from loop.wrong import wrong

_YES, _NO = ("yes", "y", "true"), ("no", "n", "false")
_PLATE_KEYS = ("most_flow", "most_head", "power")
# AC voltage from which utility power is assumed to be 50 Hz if not stated.
_LEAST_50_HZ = 200.0


def answer_error(name: str, text: str) -> str | None:
    """Error in one answer to `PUMP_QUESTIONS`, or None; a nameplate value may be "".

    >>> answer_error("most_flow", "250")
    "'250' has no unit; units that fit: gal/h, gal/min, L/min, L/h, m^3/h"
    """
    readers: dict[str, Callable[[str], object]] = {
        "runs_on": read_supply,
        "port": lambda answer: parse(answer, "length"),
        "most_flow": lambda answer: parse(answer, "flow"),
        "most_head": head_of,
        "power": lambda answer: parse(answer, "power"),
        "self_priming": _is_yes,
    }
    if name not in readers or (not text and name not in ("runs_on", "port")):
        return None
    try:
        readers[name](text)
    except UnitError as error:
        return str(error)
    return None


def _is_yes(text: str) -> bool:
    """Whether the answer is yes; raises UnitError for any but yes and no."""
    word = text.strip().lower()
    if word not in (*_YES, *_NO):
        raise UnitError(wrong("answer-yes-or-no", answer=text))
    return word in _YES


def plate_values(text: str) -> dict[str, str] | None:
    """Nameplate values in one line, by their names in `PUMP_QUESTIONS`; None for other text.

    >>> plate_values("350 gal/h, 12 ft")
    {'most_flow': '350 gal/h', 'most_head': '12 ft'}
    >>> plate_values("350 gal/h at 4 ft")  # a point on its curve, not its maximum flow and head
    """
    values: dict[str, str] = {}
    for piece in map(str.strip, text.split(",")):
        name = next((n for n in _PLATE_KEYS if piece and answer_error(n, piece) is None), None)
        if name is None or name in values:
            return None
        values[name] = piece
    return values if len(values) > 1 else None


def plate_tables(values: Mapping[str, str], name: str, supply: str, port: str) -> dict[str, Any]:
    """Tables of a pump file from nameplate values, and a supply as `supply_stated` takes it."""
    runs_on = supply_stated(supply)
    return pump_tables({**values, "name": name, "runs_on": runs_on, "port": port}, None)


def supply_stated(text: str) -> str:
    """A supply with its frequency or "DC", where a text gives volts alone; others as they are.

    AC of 200 V and more is assumed to be 50 Hz, less 60 Hz: common practice. Raises UnitError for
    a text that states no supply.

    >>> supply_stated("230 V"), supply_stated("24 V"), supply_stated("220 V 60 Hz")
    ('230 V 50 Hz', '24 V DC', '220 V 60 Hz')
    """
    try:
        volts = parse(text, "voltage")
    except UnitError:
        read_supply(text)
        return text
    kind = "DC" if volts <= MAX_DC else "50 Hz" if volts >= _LEAST_50_HZ else "60 Hz"
    return f"{text} {kind}"


def pump_tables(answers: Mapping[str, str], datasheet: Datasheet | None) -> dict[str, Any]:
    """Tables of a pump file from answers to `PUMP_QUESTIONS`, with a datasheet's points if given.

    Empty answers are omitted. Raises UnitError for a wrong supply.
    """
    volts, hertz = read_supply(answers["runs_on"])
    tables: dict[str, Any] = {
        "name": answers["name"],
        "note": wrong("note-datasheet" if datasheet else "note-plate"),
        "drive": "dc" if hertz is None else "ac",
        "rated_supply": volts,
    }
    if hertz is not None:
        tables["rated_frequency"] = hertz
    tables["self_priming"] = _is_yes(answers.get("self_priming") or "no")
    tables["port"] = answers["port"]
    if datasheet is not None:
        rows = {name: row.model_dump() for name, row in datasheet.rows.items()}
        return {**tables, "curve": rows}
    plate = {"flow": "most_flow", "head": "most_head", "power": "power"}
    given = {key: answers[name] for key, name in plate.items() if answers.get(name)}
    return {**tables, "curve": {"nameplate": given}}


def pump_text(tables: Mapping[str, Any]) -> str:
    """TOML text of `pump_tables`, with optional keys of a pump file as comments."""
    lines = [f"{key} = {value_of(value)}" for key, value in tables.items() if key != "curve"]
    lines += [
        '# supply_range = ["104 V", "126 V"]  # where the maker states one'
        if tables["drive"] == "ac"
        else '# supply_range = ["10 V", "15 V"]   # where the maker states one',
        "",
        "[curve]",
        *(f"{key} = {value_of(value)}" for key, value in tables["curve"].items()),
    ]
    return "\n".join(lines) + "\n"
