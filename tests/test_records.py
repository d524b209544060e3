"""Records are the standard library's frozen dataclasses, created faster."""

import copy
import dataclasses
import inspect
import math
import pickle
from functools import cached_property
from typing import Any

import numpy as np
import pytest

from loop.records import dataclass


@dataclass(frozen=True)
class Mine:
    """A record."""

    a: int
    b: float = 2.0
    c: list[int] = dataclasses.field(default_factory=list, compare=False, repr=False)

    @cached_property
    def twice(self) -> float:
        return 2 * self.b


@dataclasses.dataclass(frozen=True)
class Theirs:
    """The same with the library's."""

    a: int
    b: float = 2.0
    c: list[int] = dataclasses.field(default_factory=list, compare=False, repr=False)

    @cached_property
    def twice(self) -> float:
        return 2 * self.b


@dataclass(frozen=True)
class Inherits(Mine):
    """One field more."""

    d: str = "d"


@dataclass(frozen=True, eq=False)
class Itself:
    """One that equals only itself."""

    a: int


@pytest.mark.parametrize(
    ("args", "more"), [((1,), {}), ((1, 3.0), {}), ((), {"a": 1, "c": [4]}), ((1,), {"b": 5.0})]
)
def test_they_are_made_shown_compared_and_kept_alike(args, more) -> None:
    mine, theirs = Mine(*args, **more), Theirs(*args, **more)
    assert repr(mine) == repr(theirs).replace("Theirs", "Mine")
    assert hash(mine) == hash(theirs)
    assert mine == Mine(*args, **more)
    assert mine != theirs
    assert mine != Mine(2)
    assert dataclasses.asdict(mine) == dataclasses.asdict(theirs)
    assert dataclasses.astuple(mine) == dataclasses.astuple(theirs)
    assert dataclasses.replace(mine, b=9.0) == Mine(mine.a, 9.0, mine.c)
    assert mine.twice == theirs.twice
    for other in (pickle.loads(pickle.dumps(mine)), copy.copy(mine), copy.deepcopy(mine)):
        assert other == mine
        assert other.c == mine.c
    match mine:
        case Mine(a, b):
            assert (a, b) == (mine.a, mine.b)


@pytest.mark.parametrize("kind", [Mine, Theirs])
def test_they_refuse_alike(kind) -> None:
    for args, more in (((), {}), ((1, 2.0, [], 4), {}), ((1,), {"a": 1}), ((1,), {"z": 1})):
        with pytest.raises(TypeError):
            kind(*args, **more)
    one = kind(1)
    with pytest.raises(dataclasses.FrozenInstanceError):
        one.a = 2
    with pytest.raises(dataclasses.FrozenInstanceError):
        del one.a
    with pytest.raises(dataclasses.FrozenInstanceError):
        one.new = 2


def test_lists_of_defaults_are_not_shared() -> None:
    assert Mine(1).c is not Mine(1).c


def test_one_may_inherit_from_another() -> None:
    assert Inherits(1, d="x") == Inherits(1, 2.0, [], "x")
    assert Inherits(1) != Mine(1)
    assert repr(Inherits(1)) == "Inherits(a=1, b=2.0, d='d')"


def test_one_may_equal_itself_alone() -> None:
    one = Itself(1)
    assert one == one
    assert one != Itself(1)
    assert len({one, Itself(1)}) == 2


def test_only_frozen_ones_are_made() -> None:
    with pytest.raises(TypeError, match="only frozen"):

        @dataclass
        class Open:
            """Not frozen."""

            a: int


@dataclass(frozen=True)
class Holds:
    """Numbers that may not be there."""

    one: float
    several: tuple[float, ...] = ()
    named: dict[str, float] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True)
class Two:
    """Records in a record; hashed."""

    number: float
    inner: tuple[float, ...]


def test_numbers_that_are_not_there_are_equal() -> None:
    def made() -> Any:
        nan = math.inf - math.inf
        return Two(nan, (1.0, math.inf * 0)), Holds(nan, (nan, 2.0), {"a": nan})

    for one, other in zip(made(), made(), strict=True):
        assert one == other
        assert pickle.loads(pickle.dumps(one)) == one
    two, again = made()[0], made()[0]
    assert hash(two) == hash(again) == hash(pickle.loads(pickle.dumps(two)))
    assert {two: 1}[again] == 1


def test_arrays_are_compared_number_by_number() -> None:
    def holding(*numbers: float) -> Any:
        return Holds(1.0, (np.array(numbers),))  # type: ignore[arg-type]

    assert holding(1.0, math.nan) == holding(1.0, math.inf - math.inf)
    assert holding(1.0, 2.0) != holding(1.0, 3.0)
    assert holding(1.0, 2.0) != holding(1.0, 2.0, 3.0)


@pytest.mark.parametrize(
    "other",
    [
        Holds(1.0, (math.nan, 2.0), {"a": math.nan}),
        Holds(math.nan, (math.nan, 3.0), {"a": math.nan}),
        Holds(math.nan, (math.nan,), {"a": math.nan}),
        Holds(math.nan, (math.nan, 2.0), {"b": math.nan}),
        Holds(math.nan, (math.nan, 2.0), {"a": 1.0}),
    ],
)
def test_a_number_that_is_not_there_equals_no_other(other: Holds) -> None:
    assert other != Holds(math.nan, (math.nan, 2.0), {"a": math.nan})


class Own(Mine):
    """Created in its own way."""

    def __init__(self, only: int) -> None:
        super().__init__(only)


def test_the_signature_is_that_of_the_fields() -> None:
    assert str(inspect.signature(Mine)) == str(inspect.signature(Theirs))
    assert list(inspect.signature(Inherits).parameters) == ["a", "b", "c", "d"]
    assert list(inspect.signature(Own).parameters) == ["only"]
