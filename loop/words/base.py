"""The base of all actions on a job, and look-ups among the job's parts."""

from dataclasses import fields
from itertools import takewhile
from typing import Any, ClassVar, TypeAlias

from loop.answers import plain
from loop.job import Edit, Job, JobError, Located, edit, locate
from loop.job.address import address_text, by_address
from loop.parts import Hose, Part
from loop.records import dataclass

# Fields of actions that are places; the others are values.
_WHERE = ("part", "parts", "fittings", "along", "unit", "branch")

Address: TypeAlias = str


@dataclass(frozen=True)
class Action:
    """A change of a job that cures a finding: what to do, where, by how much (SI, addresses).

    Heights, lengths and sizes are round in the units of the job for which the action was made, so
    that what is printed is what is applied.
    """

    kind: ClassVar[str]

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """The edits of the job; addresses refer to the job before them."""
        raise NotImplementedError

    def apply(self, job: Job) -> Job:
        """The job after this action; raises `loop.JobError` if it does not fit that job."""
        return edit(job, self.edits(job))

    @property
    def steps(self) -> tuple["Action", ...]:
        """The single actions of this one: itself."""
        return (self,)

    def to_dict(self) -> dict[str, Any]:
        """Kind, place and values as plain tables; ``steps`` are those of `Together`."""
        where: dict[str, Any] = {}
        values: dict[str, Any] = {}
        for item in fields(self):
            value = getattr(self, item.name)
            if value is not None and value != ():
                (where if item.name in _WHERE else values)[item.name] = plain(value)
        return {"kind": self.kind, "at": where, "values": values, "steps": []}


def part_at(job: Job, address: Address) -> Part:
    """The part at an address as `locate` writes it; raises KeyError if there is none."""
    return located(job, address).part


def located(job: Job, address: Address) -> Located:
    """The part at an address, with its path and names; raises KeyError if there is none."""
    return by_address(job.part)[address]


def following(job: Job, address: Address) -> Address:
    """The address just after a part, on the same line."""
    path = located(job, address).path
    last = path[-1]
    assert isinstance(last, int)
    return address_text((*path[:-1], last + 1))


def start_height(job: Job, address: Address) -> float:
    """Height [m above the waterline] at which a part begins."""
    return located(job, address).start


def on_line(job: Job, address: Address) -> tuple[Located, ...]:
    """The parts of the line, main or branch, that holds a part."""
    path = located(job, address).path
    return tuple(item for item in locate(job.part) if item.path[:-1] == path[:-1])


def hose_before(job: Job, address: Address) -> Located:
    """The hose at whose far end a part sits; raises JobError if its line has none before it."""
    before: Located | None = None
    for item in on_line(job, address):
        if item.address == address:
            break
        before = item if isinstance(item.part, Hose) else before
    if before is None:
        raise JobError([address])
    return before


def at_end_of(job: Job, address: Address) -> tuple[Located, ...]:
    """The parts without length at a hose's far end, up to the next hose or the end of its line."""
    line = on_line(job, address)
    here = next(number for number, item in enumerate(line) if item.address == address)
    return tuple(takewhile(lambda item: not isinstance(item.part, Hose), line[here + 1 :]))
