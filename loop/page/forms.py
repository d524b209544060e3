"""Form fields for each kind of part, unit and boat, generated from the models that check them."""

from functools import cache
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from loop.job.defaults import Defaults
from loop.job.field_text import field_text, quantity_text
from loop.job.model import Boat, Sea, Unit
from loop.job.partial_checks import PART_CLASSES
from loop.parts import Branch, Manifold, Pump
from loop.units import System
from loop.units.fields import Quantity, hints
from loop.units.stated import Rating
from loop.words.help import KEYS

_HIDDEN = {"kind", "branch", "part"}
# Typical values for a new part, in SI, until measured ones replace them.
_STARTERS: dict[str, dict[str, Any]] = {
    "hose": {"length": 0.9144},
    "strainer": {"loss": Rating.read("0.4 psi at 300 gal/h")},
    "condenser": {"loss": Rating.read("2.2 psi at 240 gal/h")},
    "fitting": {"k": 1.0},
}


def starter(kind: str, system: System) -> dict[str, Any]:
    """The keys of a new part of a kind, as text in the job's units."""
    given = _STARTERS.get(kind, {})
    return {key: field_text(PART_CLASSES[kind], key, item, system) for key, item in given.items()}


@cache
def part_forms() -> dict[str, list[dict[str, Any]]]:
    """Fields of every kind of row, in the model's order, each from `field_form`."""
    forms = {kind: table_form(model) for kind, model in PART_CLASSES.items()}
    return {**forms, "branch": table_form(Branch)}


@cache
def job_forms() -> dict[str, list[dict[str, Any]]]:
    """Fields of the tables other than parts, by table name."""
    tables: dict[str, type[BaseModel]] = {
        "water": Sea,
        "boat": Boat,
        "defaults": Defaults,
        "condenser": Unit,
    }
    return {name: table_form(model) for name, model in tables.items()}


def addable() -> list[str]:
    """Kinds of part that can be inserted anywhere in a line."""
    single = {"intake", Manifold.model_fields["kind"].default, Pump.model_fields["kind"].default}
    return [kind for kind in PART_CLASSES if kind not in single]


def table_form(model: type[BaseModel]) -> list[dict[str, Any]]:
    """Every field of a model that a person fills in."""
    return [
        field_form(name, info) for name, info in model.model_fields.items() if name not in _HIDDEN
    ]


def field_form(name: str, info: FieldInfo) -> dict[str, Any]:
    """One field: its name, how it is entered, its choices and its default.

    ``entry`` is "choice", "number", "list" or "text"; quantities are text with a unit. "marks" is
    the list of keys that are guesses: each of those fields shows its own mark and can clear it.
    """
    held = [*hints(info)]
    choices = next((list(get_args(h)) for h in held if get_origin(h) is Literal), [])
    quantity = next((h for h in held if isinstance(h, Quantity)), None)
    many = any(get_origin(h) is tuple for h in held)
    numbers = {float, int} & {h for h in held if isinstance(h, type)}
    entry = "text"
    if choices:
        entry = "choice"
    elif many:
        entry = "marks" if name == "guessed" else "list"
    elif quantity is None and numbers and Rating not in held:
        entry = "number"
    return {
        "name": name,
        "means": KEYS.get(name, ""),
        "entry": entry,
        "choices": choices,
        "quantity": quantity.kind if quantity else ("rating" if Rating in held else ""),
        "required": info.is_required(),
        "default": _default(info, quantity),
    }


def _default(info: FieldInfo, quantity: Quantity | None) -> str:
    value = info.default
    if info.is_required() or value is None or value == () or isinstance(value, BaseModel):
        return ""
    if quantity is not None and isinstance(value, float):
        return quantity_text(value, quantity.kind, "us")
    return str(value)
