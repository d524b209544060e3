"""Rows of the truth table: each a printed value, its source, and what the program gives."""

import tomllib
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from loop.units import parse
from loop.units.text import factors
from tests.published.relations import RELATIONS

_FOLDER = Path(__file__).parent
AREAS = ("water", "friction", "fittings", "pumps", "networks", "heat", "air", "suction")
STANDINGS = {
    "page read": "the printed value was read, in the work or in a public copy of it",
    "data read": "the problem's data were read; its printed answer is from memory",
    "from memory": "the source was not at hand",
}

# Kind of quantity of an input, by its name; any other input is a plain number.
_INPUTS = {
    "length": "length", "length_2": "length", "common": "length", "before": "length",
    "high_point": "length", "bore": "length", "bore_2": "length", "bores": "length",
    "seat": "length",
    "header": "length", "branch": "length", "roughness": "length", "lift": "length",
    "level": "length", "levels": "length", "outlet": "length", "height": "length",
    "loss": "length", "head": "length", "heads": "length", "needed": "length",
    "needed_heads": "length", "flow": "flow", "flows": "flow", "run": "flow", "side": "flow",
    "speed": "speed", "slope": "angle", "angle": "angle", "temperature": "temperature",
    "inlet": "temperature", "leaving": "temperature", "condensing": "temperature",
    "approach": "temperature_difference", "heat": "power", "power": "power", "pressure": "pressure",
    "frequency": "frequency", "rated_frequency": "frequency",
}  # fmt: skip

# Units of results that the program has no quantity for: their size in SI.
_UNITS = {
    "": 1.0,
    "kg/m³": 1.0,
    "J/(kg K)": 1.0,
    "mm²/s": 1e-6,
    "µPa s": 1e-6,
    "W/K": 1.0,
    "kW/K": 1e3,
    "MW": 1e6,
}


@dataclass(frozen=True)
class Row:
    """One outside check.

    ``printed`` and ``tolerance`` are in ``unit``. The tolerance is half a unit of the last printed
    digit, unless ``note`` gives a reason for another.
    """

    id: str
    area: str
    what: str
    source: str
    standing: str
    relation: str
    printed: float
    tolerance: float
    unit: str = ""
    inputs: dict[str, Any] = field(default_factory=dict)
    note: str = ""

    @cached_property
    def ours(self) -> float:
        """What the program gives, in the row's unit."""
        relation = RELATIONS[self.relation]
        value = relation.function(**read(self.inputs))
        if self.unit in _UNITS:
            return float(value) / _UNITS[self.unit]
        scale, offset = factors(self.unit, relation.kind)
        return (float(value) - offset) / scale

    @property
    def difference(self) -> float:
        """Ours minus theirs, in the row's unit."""
        return self.ours - self.printed

    @property
    def agrees(self) -> bool:
        """Whether the difference is within the tolerance, apart from floating-point rounding."""
        return abs(self.difference) <= self.tolerance * (1 + 1e-9)


def read(inputs: dict[str, Any]) -> dict[str, Any]:
    """Inputs with every text that has a unit as its SI value, including nested tables and lists."""
    return {name: _read(name, value) for name, value in inputs.items()}


def _read(name: str, value: Any) -> Any:
    if isinstance(value, dict):
        return read(value)
    if isinstance(value, list):
        return [_read(name, item) for item in value]
    if isinstance(value, str) and name in _INPUTS:
        return parse(value, _INPUTS[name])
    return value


def _load(name: str) -> list[Row]:
    with (_FOLDER / f"{name}.toml").open("rb") as file:
        return [Row(**{"area": name, **row}) for row in tomllib.load(file)["row"]]


ROWS: list[Row] = [row for area in AREAS for row in _load(area)]
DISAGREEMENTS: list[Row] = _load("disagreements")
