"""Rooms that are also the function they are named after: ``loop.check(job)``."""

import sys
from types import ModuleType
from typing import Any


class _CallableModule(ModuleType):
    """A module that, when called, calls the function of its own name."""

    def __call__(self, *args: Any, **kwargs: Any) -> Any:
        function = getattr(self, self.__name__.rpartition(".")[2])
        return function(*args, **kwargs)


def make_callable(name: str) -> None:
    """Lets the module `name` be called like the function in it that has its last name.

    A package's submodule takes the package's attribute of that name when it is imported, so that a
    function of the same name would be hidden behind it; this keeps both.
    """
    sys.modules[name].__class__ = _CallableModule
