"""Results and parts are frozen: no holder can change one for another."""

import importlib
import pkgutil
from dataclasses import is_dataclass

import pytest
from pydantic import BaseModel

import loop.air
import loop.balancing
import loop.hydraulics
import loop.margins
import loop.parts

PACKAGES = (loop.parts, loop.hydraulics, loop.balancing, loop.margins, loop.air)
MODULES = [
    f"{package.__name__}.{module.name}"
    for package in PACKAGES
    for module in pkgutil.iter_modules(package.__path__)
]


@pytest.mark.parametrize("name", MODULES)
def test_every_class_of_results_and_of_parts_is_frozen(name: str) -> None:
    module = importlib.import_module(name)
    own = [kind for kind in vars(module).values() if getattr(kind, "__module__", "") == name]
    for kind in own:
        if is_dataclass(kind):
            assert kind.__setattr__ is not object.__setattr__, kind  # that of a frozen one raises
        elif isinstance(kind, type) and issubclass(kind, BaseModel):
            assert kind.model_config["frozen"], kind
            assert kind.model_config["extra"] == "forbid", kind
