"""Makes ``examples/reference.md`` from the models, or checks that it is what they say.

Usage: ``python -m tests.reference --write`` or ``--check``.
"""

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt, MaxLen
from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from loop.diagnose.reading_kinds import KINDS as READINGS
from loop.job.defaults import Defaults
from loop.job.field_text import quantity_text
from loop.job.model import Boat, Job, Sea, Unit
from loop.job.partial_checks import PART_CLASSES
from loop.job.service import Fitted, Price, Sizing, StrainerChoice, Supply, Visit
from loop.parts import Branch, Part
from loop.parts.hose import Via
from loop.pumps import Curve, PumpCurve, Series
from loop.units.definitions import KINDS, Kind
from loop.units.fields import Quantity
from loop.units.stated import Rating
from loop.words.help import KEYS

TARGET = Path(__file__).parent.parent / "examples" / "reference.md"

_HEAD = """# Reference: every table and key of the files

Made from the program's own models by `python -m tests.reference --write`; CI holds it to them.
A quantity is text with its unit, in quotes: `"3/4 in"`, `"5' 6\\""`, `"240 gal/h"`, `"85 degF"`.
Limits are shown in SI and hold in any unit. A through-hull (skin fitting) is an `intake` or a
`discharge`.
"""
# Title, what it is, model: the tables of a job file beside its parts.
_TABLES: tuple[tuple[str, type[BaseModel]], ...] = (
    ("[water]", Sea),
    ("[boat]", Boat),
    ("[defaults]", Defaults),
    ("[[condenser]]", Unit),
    ("[sizing]", Sizing),
    ("[[sizing.strainers]]", StrainerChoice),
    ("[sizing.price]", Price),
    ("[supply]", Supply),
    ("[[visit]]", Visit),
    ("[fitted]", Fitted),
)
_NUMBERS: dict[Any, str] = {float: "number", int: "whole number", bool: "true or false"}


def reference() -> str:
    """The whole page in Markdown."""
    lines = [_HEAD, "## A job file", "", "### At the top", "", *_table(Job, _top_fields())]
    for title, model in _TABLES:
        lines += ["", f"### `{title}`", "", _summary(model), "", *_table(model)]
    lines += ["", "## Parts: `[[part]]`", "", "In the order in which the water meets them."]
    for kind, part in PART_CLASSES.items():
        lines += ["", f'### kind = "{kind}"', "", _summary(part), "", *_table(part, _own(part))]
    lines += ["", "### Keys of every part", "", *_table(Part, {"label", "bore"})]
    lines += ["", "### A hose's `via`", "", _summary(Via), "", *_table(Via)]
    lines += ["", "### `[[part.branch]]`, of a manifold", "", _summary(Branch), "", *_table(Branch)]
    lines += ["", "## A pump file", "", _summary(PumpCurve), "", *_table(PumpCurve)]
    lines += ["", "### `[curve]`", "", _summary(Curve), "", *_table(Curve)]
    lines += ["", "### Each row of `[curve]`", "", _summary(Series), "", *_table(Series)]
    lines += ["", "## Readings of a service call", "", *_readings()]
    return "\n".join(lines) + "\n"


def _top_fields() -> set[str]:
    return {n for n in Job.model_fields if n in ("title", "units")}


def _own(part: type[Part]) -> set[str]:
    return set(part.model_fields) - {"kind", "label", "bore", "branch"}


def _summary(model: type[BaseModel]) -> str:
    """The first paragraph of the model's docstring on one line."""
    return " ".join((model.__doc__ or "").split("\n\n")[0].split()).replace("``", "`")


def _table(model: type[BaseModel], names: Iterable[str] | None = None) -> Iterator[str]:
    wanted = set(model.model_fields if names is None else names)
    rows = [(n, info) for n, info in model.model_fields.items() if n in wanted]
    if not rows:
        yield "No keys of its own."
        return
    explained = issubclass(model, Part) or model in (Sea, Boat, Defaults, Unit, Branch)
    yield f"| key |{' what it is |' * explained} value | limits | left out |"
    yield f"| --- |{' --- |' * explained} --- | --- | --- |"
    for name, info in rows:
        hints = [*info.metadata, *_inside(info.annotation)]
        means = f" {KEYS.get(name, '')} |" * explained
        yield f"| `{name}` |{means} {_value(hints)} | {_limits(hints)} | {_default(info, hints)} |"


def _value(hints: list[Any]) -> str:
    """What a key accepts."""
    many = "list of " if any(get_origin(h) in (tuple, dict) for h in hints) else ""
    if any(get_origin(h) is dict for h in hints):
        many = "table of "
    for hint in hints:
        if isinstance(hint, Quantity):
            return f"{many}{hint.kind.replace('_', ' ')} ({KINDS[hint.kind][1]})"
    if Rating in hints:
        return f'{many}loss at one flow, as `"0.4 psi at 300 gal/h"`'
    for hint in hints:
        if get_origin(hint) is Literal:
            return f"{many}" + ", ".join(f"`{v}`" for v in get_args(hint))
    if PumpCurve in hints:
        return f"{many}pump: a name from `loop pumps`, or a path to a pump file"
    models = [h for h in hints if isinstance(h, type) and issubclass(h, BaseModel)]
    if models:
        return f"{many}tables" if many else "table"
    return many + next((_NUMBERS[h] for h in hints if h in _NUMBERS), "text")


def _limits(hints: list[Any]) -> str:
    for hint in hints:
        if isinstance(hint, Quantity):
            return _range(hint)
    words = [_bound(hint) for hint in hints]
    return ", ".join(word for word in dict.fromkeys(words) if word)


def _bound(hint: Any) -> str:
    if isinstance(hint, FieldInfo):
        return ", ".join(filter(None, map(_bound, hint.metadata)))
    for kind, word in ((Ge, "at least"), (Gt, "above"), (Le, "at most"), (Lt, "below")):
        if isinstance(hint, kind):
            return f"{word} {getattr(hint, kind.__name__.lower()):g}"
    return f"at most {hint.max_length}" if isinstance(hint, MaxLen) else ""


def _range(quantity: Quantity) -> str:
    """The limits in SI."""
    low, high = (
        "" if abs(limit) == float("inf") else _rounded(limit, quantity.kind)
        for limit in (quantity.low, quantity.high)
    )
    first = f"{'above' if quantity.above else 'from'} {low}" if low else ""
    return " ".join(filter(None, (first, f"to {high}" if high else "")))


def _rounded(limit: float, kind: Kind) -> str:
    """A limit to four digits."""
    number, unit = quantity_text(limit, kind, "si").split(" ", 1)
    return f"{float(f'{float(number):.4g}'):.10g} {unit}"


def _default(info: FieldInfo, hints: list[Any]) -> str:
    """The value that applies if a key is omitted."""
    value = info.default
    if info.is_required():
        return "must be given"
    if value is None or value is PydanticUndefined or value == () or value == "" or value == {}:
        return ""
    quantity = next((hint for hint in hints if isinstance(hint, Quantity)), None)
    if quantity is not None:
        values = value if isinstance(value, tuple) else (value,)
        return ", ".join(quantity_text(v, quantity.kind, "us") for v in values)
    return "" if isinstance(value, BaseModel) else f"`{value}`"


def _inside(annotation: Any) -> list[Any]:
    found = [annotation]
    if get_origin(annotation) is Literal:
        return found
    for inner in (*get_args(annotation), *getattr(annotation, "__metadata__", ())):
        found += _inside(inner)
    return found


def _readings() -> Iterator[str]:
    yield "| key | value | minutes | how |"
    yield "| --- | --- | ---: | --- |"
    for reading in READINGS.values():
        value = ", ".join(f"`{c}`" for c in reading.choices) or str(reading.kind).replace("_", " ")
        unit = "; of one unit: `name.key`" if reading.per_unit else ""
        yield f"| `{reading.name}` | {value}{unit} | {reading.minutes:g} | {reading.how} |"


def main(mode: str) -> int:
    """Returns 0 if the page matches the models."""
    if mode == "--write":
        TARGET.write_text(reference(), encoding="utf-8")
        return 0
    if not TARGET.is_file() or TARGET.read_text(encoding="utf-8") != reference():
        print("examples/reference.md is stale; run `python -m tests.reference --write`")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1] if len(sys.argv) > 1 else "--check"))
