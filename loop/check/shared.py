"""What one iterator gives, for many who ask for it, each from the beginning."""

from collections.abc import Iterator
from typing import Generic, TypeVar

Item = TypeVar("Item")


class Shared(Generic[Item]):
    """Items of an iterator, which is asked for each of them once, when first somebody wants it.

    >>> squares = Shared(n * n for n in range(3))
    >>> next(iter(squares)), list(squares), list(squares)
    (0, [0, 1, 4], [0, 1, 4])
    """

    def __init__(self, source: Iterator[Item]) -> None:
        self._source, self._found = source, list[Item]()

    def __iter__(self) -> Iterator[Item]:
        at = 0
        while True:
            if at == len(self._found):
                try:
                    self._found.append(next(self._source))
                except StopIteration:
                    return
            yield self._found[at]
            at += 1
