"""Which parts of a job meet."""

from collections.abc import Iterator, Sequence

from loop.job import Job
from loop.parts import Manifold, Part
from loop.words.base import Address


def meetings(job: Job) -> dict[Address, list[Address]]:
    """Neighbors of each part, the next one last; the joint of branches is ``….join``."""
    meets: dict[Address, list[Address]] = {}
    for one, other in _pairs(job.part, "part"):
        meets.setdefault(one, [])
        meets.setdefault(other, []).append(one)
    for one, other in _pairs(job.part, "part"):
        meets[one].append(other)
    return meets


def _pairs(parts: Sequence[Part], line: Address) -> Iterator[tuple[Address, Address]]:
    """Each part with the next one, in flow order."""
    ends = [f"{line}[{number}]" for number in range(1, len(parts) + 1)]
    for index, part in enumerate(parts):
        here = end = ends[index]
        if isinstance(part, Manifold):
            end = join(here)
            for number, branch in enumerate(part.branch, 1):
                inside = f"{here}.branch[{number}].part"
                last = f"{inside}[{len(branch.part)}]"
                yield here, f"{inside}[1]"
                yield from _pairs(branch.part, inside)
                if not branch.overboard:
                    yield last if not isinstance(branch.part[-1], Manifold) else join(last), end
        if index + 1 < len(parts):
            yield end, ends[index + 1]


def join(part: Address) -> Address:
    """Address of the joint where a manifold's branches rejoin."""
    return f"{part}.join"
