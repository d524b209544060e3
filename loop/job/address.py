"""Addresses of single values of a job, as ``part[9].branch[2].part[1].bore``.

Counted from 1, as `loop check` prints parts. A part's label may stand for its address (``suction
hose.length``), and ``pump`` alone for the pump's curve.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any, TypeAlias

from loop.job.layout import end_height
from loop.job.locations import all_parts, branch_place, part_place
from loop.mistakes import JobError, most_like
from loop.parts import Manifold, Part, Pump
from loop.records import dataclass
from loop.wrong import wrong

if TYPE_CHECKING:
    from loop.job.model import Job

# Names and positions (from 0) that lead to a value, such as ("part", 3, "bore").
Path: TypeAlias = tuple[str | int, ...]

_INDEXED = re.compile(r"[a-z_]+\[")
_STEP = re.compile(r"([A-Za-z_][A-Za-z0-9_]*)|\[(0|[1-9][0-9]{0,5})\]")


@dataclass(frozen=True)
class Located:
    """A part with its address, its place in words, ``part 4 (hose)``, and its label.

    ``branch`` is the part's branch, outer branches first, "" on the main line. The part begins at
    the height ``start`` [m above the waterline] and ends at ``end``.
    """

    part: Part
    path: Path
    place: str
    label: str
    branch: str
    start: float
    end: float

    @cached_property
    def address(self) -> str:
        """The part's address."""
        return address_text(self.path)


class _IdentityKey:
    """Parts as a cache key, compared by identity, since comparing all of them takes longer."""

    def __init__(self, parts: tuple[Part, ...]) -> None:
        self.parts = parts

    def __hash__(self) -> int:
        return id(self.parts)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _IdentityKey) and self.parts is other.parts


def locate(parts: Sequence[Part]) -> tuple[Located, ...]:
    """Every part of a job in the order of the file, a manifold before the parts in its branches.

    The parts of a network have the same order.
    """
    return _located(_IdentityKey(tuple(parts)))


def file_numbers(parts: Sequence[Part]) -> list[str]:
    """Each part's position in the job file, in order: ``9.2.3`` is part 9, branch 2, its part 3."""
    return [
        ".".join(str(step + 1) for step in item.path if isinstance(step, int))
        for item in locate(parts)
    ]


def by_address(parts: Sequence[Part]) -> Mapping[str, Located]:
    """The result of `locate`, by each part's address."""
    return _by_address(_IdentityKey(tuple(parts)))


# A report asks hundreds of times for the parts of one job, and of the job after an action.
@lru_cache(maxsize=8)
def _located(key: _IdentityKey) -> tuple[Located, ...]:
    labels = part_labels(list(all_parts(key.parts)))
    return tuple(_walk(key.parts, iter(labels), (), "", "", 0.0))


@lru_cache(maxsize=8)
def _by_address(key: _IdentityKey) -> Mapping[str, Located]:
    return {item.address: item for item in _located(key)}


def _walk(
    parts: Sequence[Part], labels: Iterator[str], path: Path, prefix: str, branch: str, start: float
) -> Iterator[Located]:
    for index, part in enumerate(parts):
        here: Path = (*path, "part", index)
        where, end = prefix + part_place(index, part), end_height([part], start)
        yield Located(part, here, where, next(labels), branch, start, end)
        for number, inner in enumerate(part.branch if isinstance(part, Manifold) else ()):
            name = f"{branch} / {inner.name}" if branch else inner.name
            inside = f"{branch_place(where, number, inner)} "
            yield from _walk(inner.part, labels, (*here, "branch", number), inside, name, start)
        start = end


def part_labels(parts: Sequence[Part]) -> tuple[str, ...]:
    """Label of each part: its own, or its kind, numbered if there are several of that kind."""
    of_kind = Counter(part.kind for part in parts)
    seen: Counter[str] = Counter()
    labels = []
    for part in parts:
        seen[part.kind] += 1
        generated = f"{part.kind} {seen[part.kind]}" if of_kind[part.kind] > 1 else part.kind
        labels.append(part.label or generated)
    return tuple(labels)


def address_text(path: Path) -> str:
    """The address of a path.

    >>> address_text(("part", 8, "branch", 1, "part", 0, "bore"))
    'part[9].branch[2].part[1].bore'
    """
    text = "".join(f"[{step + 1}]" if isinstance(step, int) else f".{step}" for step in path)
    return text.removeprefix(".")


def read_address(job: "Job", address: str) -> Path:
    """The path that an address refers to in a job.

    Raises JobError, with the nearest existing address, if there is none.
    """
    if not isinstance(address, str):
        hint = wrong("address-like")
        raise JobError([wrong("address-not-text", given=repr(address)[:60], hint=hint)])
    # An address written as a path is not a label; part labels are then not needed.
    path = None if _INDEXED.match(address) else _by_label(locate(job.part), address)
    path = path or _steps(address)
    if path is None or path[0] not in type(job).model_fields:
        near = _nearest(job, address)
        hint = wrong("address-meant", near=near) if near else wrong("address-like")
        raise JobError([wrong("no-address", address=address, hint=hint)])
    return path


def _nearest(job: "Job", address: str) -> str:
    """The nearest existing address to an unknown one; "" if none is near.

    A unit's name stands for its table, which has no label: ``saloon.cooling`` is
    ``condenser[1].cooling``. A key of the whole job alone lacks its table: ``bore`` is
    ``defaults.bore``.
    """
    for table in ("defaults", "water", "boat"):
        if address in type(getattr(job, table)).model_fields:
            return f"{table}.{address}"
    first, dot, rest = address.partition(".")
    units = {unit.name: f"condenser[{n}]" for n, unit in enumerate(job.condenser, start=1)}
    labels = [item.label for item in locate(job.part)]
    near = most_like(first, [*units, *labels], 0.6) or ""
    return f"{units.get(near, near)}{dot}{rest}" if near else ""


def value_path(job: "Job", path: Path) -> Path:
    """Path of the value that an address refers to: for a pump alone, its curve."""
    value: Any = job
    for step in path:
        try:
            value = value[step] if isinstance(step, int) else getattr(value, step)
        except (AttributeError, IndexError, TypeError):
            return path
    return (*path, "curve") if isinstance(value, Pump) else path


def _by_label(located: Sequence[Located], address: str) -> Path | None:
    """Path of an address that begins with a part's label; the longest matching label counts."""
    matches = [
        item for item in located if address == item.label or address.startswith(f"{item.label}.")
    ]
    if not matches:
        return None
    item = max(matches, key=lambda item: len(item.label))
    if sum(other.label == item.label for other in located) > 1:
        raise JobError([wrong("two-of-name", address=address, label=item.label)])
    rest = address[len(item.label) + 1 :]
    steps = _steps(rest) if rest else ()
    return None if steps is None else (*item.path, *steps)


def _steps(address: str) -> Path | None:
    """Steps of an address, positions from 0; None if it does not have the form of one."""
    steps: list[str | int] = []
    for piece in address.split("."):
        end = 0
        for match in _STEP.finditer(piece):
            name_inside = match[1] is not None and end > 0
            if match.start() != end or name_inside or match[2] == "0":
                return None
            steps.append(match[1] if match[2] is None else int(match[2]) - 1)
            end = match.end()
        if end == 0 or end != len(piece):
            return None
    return tuple(steps) if steps and isinstance(steps[0], str) else None
