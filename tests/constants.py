"""Changes a constant of the package in every module that holds it, during a test."""

import ast
import importlib
import inspect
import pkgutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from numbers import Real
from typing import Any

from loop.tolerances import Tolerance


def scaled(value: Any, factor: float) -> Any:
    """A number, several, or a tolerance's half-width, times `factor`."""
    if isinstance(value, Tolerance):
        return replace(value, half=factor * value.half)
    if isinstance(value, dict):
        return {key: factor * number for key, number in value.items()}
    if isinstance(value, tuple):
        return tuple(factor * number for number in value)
    return factor * value


@contextmanager
def changed(name: str, factor: float) -> Iterator[None]:
    """``parts.tee._RUN`` times `factor`, in its own module and in each that imported it."""
    module, _, attribute = f"loop.{name}".rpartition(".")
    old = getattr(importlib.import_module(module), attribute)
    held = [one for one in _modules() if vars(one).get(attribute) is old]
    new = scaled(old, factor)
    try:
        for one in held:
            setattr(one, attribute, new)
        forget()
        yield
    finally:
        for one in held:
            setattr(one, attribute, old)
        forget()


def forget() -> None:
    """Empties the package's caches."""
    for one in _modules():
        for value in list(vars(one).values()):
            if clear := getattr(value, "cache_clear", None):
                clear()


def _modules() -> list[Any]:
    return [one for name, one in list(sys.modules.items()) if name.split(".")[0] == "loop" and one]


def numbers_of(package: str) -> list[str]:
    """Names of all numbers and groups of numbers at the top level of a package's modules."""
    home = importlib.import_module(f"loop.{package}")
    found = []
    for each in pkgutil.iter_modules(home.__path__):
        module = importlib.import_module(f"{home.__name__}.{each.name}")
        for node in ast.parse(inspect.getsource(module)).body:
            targets = node.targets if isinstance(node, ast.Assign) else []
            targets += [node.target] if isinstance(node, ast.AnnAssign) else []
            for target in targets:
                for name in getattr(target, "elts", [target]):
                    if isinstance(name, ast.Name) and _numeric(getattr(module, name.id, None)):
                        found.append(f"{package}.{each.name}.{name.id}")
    return found


def _numeric(value: Any) -> bool:
    if isinstance(value, dict):
        return bool(value) and all(map(_numeric, value.values()))
    if isinstance(value, tuple):
        return bool(value) and all(map(_numeric, value))
    return isinstance(value, Real) and not isinstance(value, bool)
