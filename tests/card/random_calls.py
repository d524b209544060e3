"""Random calls over everything that a readings file can say about one loop."""

import random
from typing import Any

from loop.card.spellings import example
from loop.diagnose.actions import ACTIONS
from loop.diagnose.hypotheses import Study
from loop.diagnose.instruments import Column
from loop.diagnose.parse import parse_readings
from loop.diagnose.reading_kinds import KINDS
from loop.diagnose.readings import Readings
from loop.diagnose.statements import STATEMENTS
from loop.job import JobError

_TOOLS = [None, "bucket", "bucket, thermometer", ["bucket", "thermometer", "gauge"], "none"]


def random_calls(study: Study, count: int, seed: int) -> list[tuple[dict[str, Any], Readings]]:
    """Tables as in a readings file, and what the program reads in them."""
    rng = random.Random(seed)
    found: list[tuple[dict[str, Any], Readings]] = []
    while len(found) < count:
        table = _call(study, rng)
        try:
            found.append((table, parse_readings(table, study.instruments.job)))
        except JobError:
            continue  # out of range, or too few digits: another one
    return found


def _call(study: Study, rng: random.Random) -> dict[str, Any]:
    table = _state(study, rng)
    if rng.random() < 0.2:
        table["under_way"] = _state(study, rng)
    if rng.random() < 0.3:
        table["said"] = [one.text for one in rng.sample(STATEMENTS, rng.choice([1, 2]))]
    tools = rng.choice(_TOOLS)
    if tools is not None:
        table["tools"] = tools
    steps = [_step(study, action, rng) for action in rng.sample(ACTIONS, rng.choice([0, 1, 3]))]
    if steps:
        table["step"] = steps
    return table


def _state(study: Study, rng: random.Random) -> dict[str, Any]:
    table: dict[str, Any] = {}
    share = rng.choice([0.0, 0.1, 0.3, 0.6])
    for column in study.instruments.columns:
        if rng.random() < share:
            _put(rng, table, column, _number(study, column, rng))
    for column in study.instruments.words:
        if rng.random() < share:
            spoken = [*column.kind.choices, *(also for also, _ in column.kind.also)]
            _put(rng, table, column, rng.choice(spoken))
    if rng.random() < 0.1:
        has = {
            column.kind.name for column in (*study.instruments.columns, *study.instruments.words)
        }
        for kind in (kind for kind in KINDS.values() if kind.name not in has):
            table[kind.name] = rng.choice(kind.choices or (example(kind.kind or ""),))
    return table


def _step(study: Study, action: Any, rng: random.Random) -> dict[str, Any]:
    step: dict[str, Any] = {"did": action.name, "saw": rng.choice([*action.answers, ""])}
    if rng.random() < 0.5:
        column = rng.choice([*study.instruments.columns, *study.instruments.words])
        choices = column.kind.choices
        _put(rng, step, column, rng.choice(choices) if choices else _number(study, column, rng))
    if rng.random() < 0.15:
        step["under_way"] = _state(study, rng)
    return step


def _put(rng: random.Random, table: dict[str, Any], column: Column, text: str) -> None:
    """Under its key or, if nothing prevents it, in a table of the units."""
    base, _, unit = column.key.partition(".")
    if not unit or not isinstance(table.get(base, {}), dict) or rng.random() < 0.5:
        table.setdefault(column.key, text)
    else:
        table.setdefault(base, {})[unit] = text


def _number(study: Study, column: Column, rng: random.Random) -> str:
    """A value that some hypothesis predicts, or a wild one, in units as people write them."""
    at = study.instruments.column_of[column.key]
    value = float(study.from_scale(study.mean)[rng.randrange(len(study.mean)), at])
    value *= rng.choice([1.0, 1.0, 1.0, rng.uniform(0.3, 2.0)])
    gallons, fill = value / 231 / 0.0254**3, 5e-3 / max(value, 1e-5)
    written = {
        "flow": [
            f"{gallons * 3600:.1f} gph", f"{value * 60000:.2f} L/min", f"{gallons * 60:.3f} gpm",
            f"1 gal in {1 / max(gallons, 1e-3):.0f} s",
            f"5 L in {fill // 60:.0f} min {fill % 60:02.0f} s",
            f"{gallons * 3600:.0f} gal/h ± 12",
        ],
        "temperature": [
            f"{value * 1.8 + 32:.1f} degF", f"{value:.1f} °C", f"{value:.1f} C ± 1",
            f"{value * 1.8 + 32:.0f} F +- 2",
        ],
        "pressure": [
            f"{value / 6894.757:.2f} psi", f"{value / 1000:.2f} kPa", f"{value / 100:.0f} mbar",
            f"{value / 1e5:.2f} bar".replace(".", ","), f"{value / 3386.389:.1f} inHg",
        ],
        "voltage": [f"{value:.1f} V", f"{value:.0f} VAC"],
        "frequency": [f"{value:.1f} Hz"],
        "power": [f"{value:.0f} W", f"{value / 1000:.4f} kW"],
        "current": [f"{value:.2f} A", f"{value:.1f} amps"],
    }  # fmt: skip
    return rng.choice(written[column.kind.quantity])
