"""Rules between fields and between parts, checked as far as possible while fields are wrong.

A field that cannot be read is left out, and so is every rule that depends on it.
"""

import math
from functools import cache
from typing import Any, get_args

from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic_core import PydanticCustomError

from loop.job.defaults import usable_defaults, with_defaults
from loop.job.layout import layout_problems
from loop.job.locations import Problem, Unknown, branch_place, part_place, unit_place
from loop.job.model import Unit
from loop.job.neighbor_bores import with_bores
from loop.mistakes import nearest
from loop.parts import AnyPart, Branch, Condenser, Discharge, Hose, Intake, Manifold, Part

# Placeholders for unreadable values: no comparison with them is true.
_PLACEHOLDERS: dict[type[Part], dict[str, Any]] = {
    Intake: {"height": math.nan},
    Hose: {"length": math.inf, "to": math.nan, "via": ()},
    Discharge: {"height": math.nan},
    Condenser: {"serves": ""},
}
# Depth of nested manifolds beyond which no more are read: one more than a job may have.
_MAX_DEPTH = 7

PART_CLASSES: dict[str, type[Part]] = {
    str(part.model_fields["kind"].default): part for part in get_args(get_args(AnyPart)[0])
}


def hidden_problems(data: dict[str, Any], context: dict[str, Any]) -> list[Problem]:
    """Rules broken by the fields that can be read, as (where, what is wrong)."""
    raw_parts, raw_units = data.get("part"), data.get("condenser")
    reader = _Reader(context)
    units = raw_units if isinstance(raw_units, list) else [raw_units]
    names = [reader.unit(index, unit) for index, unit in enumerate(units)]
    if not isinstance(raw_parts, list) or not raw_parts:
        return reader.problems
    defaults = usable_defaults(data.get("defaults"), context)
    tables = with_bores([with_defaults(part, defaults) for part in raw_parts])
    parts = reader.parts(tables, "", 0)
    return [*reader.problems, *layout_problems(parts, names)]


class _Reader:
    """Reads what can be read; ``problems`` collects the rules that single tables break."""

    def __init__(self, context: dict[str, Any]) -> None:
        self.context = context
        self.problems: list[Problem] = []

    def unit(self, index: int, raw: Any) -> str | None:
        """A unit's name, None if it cannot be read."""
        table = raw if isinstance(raw, dict) else {}
        fields = self._fields(Unit, table)
        self._broken_rule(Unit, fields, unit_place(index, table.get("name")))
        name = fields.get("name")
        return None if name is None else str(name)

    def parts(self, raws: list[Any], prefix: str, depth: int) -> tuple[Part, ...]:
        """The parts of one line, each as far as it can be read."""
        return tuple(self._part(raw, prefix, index, depth) for index, raw in enumerate(raws))

    def _part(self, raw: Any, prefix: str, index: int, depth: int) -> Part:
        table = raw if isinstance(raw, dict) else {}
        kind = str(table.get("kind"))
        model = PART_CLASSES.get(kind)
        if isinstance(raw, Part):
            return raw
        if model is None:
            return Unknown(kind=nearest(kind, PART_CLASSES) or "")
        where = prefix + part_place(index, model.model_construct(kind=kind))
        if model is Manifold:
            branches = self._branches(table.get("branch"), where, depth)
            if not branches:
                return Unknown(kind="manifold")
            return Manifold.model_construct(branch=branches)
        fields = self._fields(model, table)
        broken = self._broken_rule(model, fields, where)
        all_placeholders = {"bore": 1.0, **_PLACEHOLDERS.get(model, {})}
        placeholders = {k: v for k, v in all_placeholders.items() if k not in fields or k == broken}
        return model.model_construct(**{**fields, **placeholders})

    def _branches(self, raw: Any, where: str, depth: int) -> tuple[Branch, ...]:
        """A manifold's branches; empty if there are none, or if nested too deeply."""
        branches: list[Branch] = []
        for number, item in enumerate(raw if isinstance(raw, list) and depth < _MAX_DEPTH else ()):
            table = item if isinstance(item, dict) else {}
            name, raws = table.get("name"), table.get("part")
            branch = Branch.model_construct(name=name if isinstance(name, str) else "", part=())
            prefix = f"{branch_place(where, number, branch)} "
            parts = self.parts(raws, prefix, depth + 1) if isinstance(raws, list) else ()
            inner: Any = parts or (Unknown(),)
            branches.append(branch.model_copy(update={"part": inner}))
        return tuple(branches)

    def _fields(self, model: type[BaseModel], table: dict[str, Any]) -> dict[str, Any]:
        """Values of the fields that can be read, with defaults, except for misspelled keys."""
        known = model.model_fields
        meant = {nearest(key, known) for key in table if key not in known}
        read: dict[str, Any] = {}
        for name, info in known.items():
            if name in table:
                try:
                    value = _adapter(model, name).validate_python(table[name], context=self.context)
                except ValidationError:
                    continue
                read[name] = value
            elif name not in meant and not info.is_required():
                read[name] = info.get_default()
        return read

    def _broken_rule(self, model: type[BaseModel], fields: dict[str, Any], where: str) -> str:
        """Record the broken rule between fields; return the field that it names, "" for none."""
        rule = getattr(model, "_check", None)
        if rule is None:
            return ""
        instance = model.model_construct(**fields)
        for name in model.model_fields:
            if name not in fields:
                instance.__dict__.pop(name, None)
        try:
            rule(instance)
        except AttributeError:  # it needs a field that could not be read
            return ""
        except PydanticCustomError as error:
            key, colon, rest = error.message().partition(": ")
            if not colon or key not in model.model_fields:
                self.problems.append((where, error.message()))
                return ""
            self.problems.append((f"{where} {key}", rest))
            return key
        return ""


@cache
def _adapter(model: type[BaseModel], field: str) -> TypeAdapter[Any]:
    return TypeAdapter(model.model_fields[field].rebuild_annotation())
