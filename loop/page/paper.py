"""Pumps from paper: what was typed, pasted or taken from a picture, as a pump file."""

import re
import tomllib
from collections.abc import Mapping
from typing import Any

from loop.job import JobError
from loop.pumps import PumpCurve, pump_problems
from loop.pumps.datasheet import MAX_TEXT, read_datasheet
from loop.pumps.doubts import closest_catalogue_pump, remarks
from loop.pumps.writing import PUMP_QUESTIONS, answer_error, pump_tables, pump_text
from loop.words.help import PUMP_ANSWERS
from loop.words.page import SAY

_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,58}")
_LONGEST = 200
_POINTS = 41


def pump_file(given: Any) -> tuple[str, str]:
    """Name and text of a pump file; raises JobError listing every mistake.

    `given` has an answer to each of `PUMP_QUESTIONS` that is known, "note", and as "points" the
    table of its curve, "" if only the nameplate is known.
    """
    text, pump = _read(given)
    if not _NAME.fullmatch(pump.name):
        raise JobError([SAY("pump-name")])
    return f"{pump.name}.toml", text


def checked_curve(given: Any) -> dict[str, Any]:
    """The pump's curve, the most similar catalogue pump's, and remarks on the pump; SI units.

    Raises JobError listing every mistake.
    """
    _, pump = _read(given)
    beside = closest_catalogue_pump(pump)
    return {
        "points": _points(pump),
        "read": [
            [float(q), float(h)] for q, h in zip(pump.points.flow, pump.points.head, strict=True)
        ],
        "beside": {"name": beside.name, "points": _points(beside)},
        "remarks": remarks(pump),
    }


def _points(pump: PumpCurve) -> list[list[float]]:
    flows = [pump.last_flow * i / (_POINTS - 1) for i in range(_POINTS)]
    return [[flow, float(pump.head(flow))] for flow in flows]


def _read(given: Any) -> tuple[str, PumpCurve]:
    answers, points = _answers(given)
    wrong = [(name, answer_error(name, answers.get(name, ""))) for name in PUMP_QUESTIONS]
    problems = [f"{PUMP_ANSWERS[name]}: {why}" for name, why in wrong if why]
    if "name" not in answers:
        problems.insert(0, SAY("pump-no-name"))
    if problems:
        raise JobError(problems)
    try:
        tables = pump_tables(answers, read_datasheet(points) if points else None)
        text = pump_text({**tables, "note": answers.get("note") or tables["note"]})
        return text, PumpCurve.model_validate(tomllib.loads(text), context={"text": True})
    except ValueError as error:
        raise JobError(pump_problems(error)) from None


def _answers(given: Any) -> tuple[dict[str, str], str]:
    if not isinstance(given, Mapping):
        raise JobError([SAY("ask-pump")])
    points = given.get("points", "")
    if not isinstance(points, str) or len(points) > MAX_TEXT:
        raise JobError([SAY("pump-points", most=MAX_TEXT // 1000)])
    wanted = {name: given.get(name, "") for name in (*PUMP_QUESTIONS, "note")}
    for name, text in wanted.items():
        if not isinstance(text, str) or len(text) > _LONGEST:
            raise JobError([SAY("pump-text", name=name, most=_LONGEST)])
    return {name: text.strip() for name, text in wanted.items() if text.strip()}, points.strip()
