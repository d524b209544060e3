"""Confirmed faults by visit: a shop's own experience, as prior weights of faults."""

from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Literal

from typing_extensions import TypedDict

from loop.answers import table_of
from loop.diagnose.faults import FAULTS, UNKNOWN
from loop.diagnose.names_meant import fault_of
from loop.diagnose.weights import stated_weights
from loop.job import Job, JobError, Visit, read_job, read_toml
from loop.records import dataclass
from loop.version import program_version
from loop.words.diagnosis import SAY

Season = Literal["winter", "spring", "summer", "autumn"]
SEASONS: tuple[Season, ...] = ("winter", "spring", "summer", "autumn")
BoatKind = Literal["one unit", "several units"]
# Equivalent sample size of the built-in priors [calls] (engineering estimate).
_WORTH = 20.0


class FaultsTables(TypedDict):
    """Output of ``loop faults FOLDER --json``: the program's version, and `Experience`."""

    loop: str
    visits: int
    unsaid: int
    counts: dict[str, float]
    priors: dict[str, float]
    unknown: tuple[str, ...]


@dataclass(frozen=True)
class Experience:
    """Faults counted over visits; in a visit with two faults each counts half.

    visits : number with a confirmed fault. unsaid : number without. unknown : texts that name no
    fault of this program.
    """

    counts: dict[str, float]
    visits: int
    unsaid: int
    unknown: tuple[str, ...]

    def priors(self) -> dict[str, float]:
        """Updated weights of all faults: the built-in priors as pseudo-counts, plus the counts."""
        whole = sum(fault.prior for fault in FAULTS)
        return {
            fault.name: round(
                (_WORTH * fault.prior / whole + self.counts.get(fault.name, 0.0))
                / (_WORTH + self.visits),
                5,
            )
            for fault in FAULTS
        }

    def to_dict(self) -> dict[str, Any]:
        """The keys of `FaultsTables` as plain values."""
        return table_of(FaultsTables, self, loop=program_version(), priors=self.priors())

    def to_toml(self) -> str:
        """The weights as a file for ``loop diagnose --priors``."""
        lines = [
            f"# {SAY('priors-head', visits=self.visits)}",
            "[prior]",
            *(f'"{name}" = {weight!r}' for name, weight in self.priors().items()),
        ]
        return "\n".join(lines) + "\n"


def season_of(visit: Visit) -> Season:
    """The season of a visit in the northern hemisphere."""
    return SEASONS[int(visit.date[5:7]) % 12 // 3]


def kind_of(job: Job) -> BoatKind:
    """Whether a boat has one unit or several."""
    return "one unit" if len(job.condenser) == 1 else "several units"


def counted(
    jobs: Iterable[Job], season: Season | None = None, kind: BoatKind | None = None
) -> Experience:
    """The faults of the visits of these jobs, optionally of one season or kind of boat."""
    counts: dict[str, float] = defaultdict(float)
    visits = unsaid = 0
    unknown = []
    for job in jobs:
        if kind is not None and kind_of(job) != kind:
            continue
        for visit in job.visit:
            if season is not None and season_of(visit) != season:
                continue
            if not visit.was:
                unsaid += 1
                continue
            found = [one.strip() for one in visit.was.split("+")]
            visits += 1
            for one in found:
                name = fault_of(one)
                if not name:
                    unknown.append(one)
                counts[name or UNKNOWN] += 1.0 / len(found)
    return Experience(dict(counts), visits, unsaid, tuple(dict.fromkeys(unknown)))


def jobs_in(folder: str | Path) -> tuple[list[Job], list[str]]:
    """The jobs in a folder, and an error line for each TOML file that cannot be read.

    Files without parts, such as readings, are skipped. Raises JobError where the folder does not
    exist.
    """
    place = Path(folder)
    if not place.is_dir():
        raise JobError([SAY("wrong-folder", folder=str(folder))])
    jobs, problems = [], []
    for path in sorted(place.rglob("*.toml")):
        try:
            if "part" in read_toml(path):
                jobs.append(read_job(path))
        except JobError as error:
            problems.append(error.problems[0])
    return jobs, problems


def read_priors(path: str) -> dict[str, float]:
    """Prior weights of faults from a file with a ``[prior]`` table.

    Raises JobError listing every mistake.
    """
    table = read_toml(path, "priors").get("prior")
    if not isinstance(table, dict):
        raise JobError([SAY("wrong-priors-file", path=path)])
    problems: list[str] = []
    found = stated_weights(table, problems)
    if problems:
        raise JobError([f"{path}: {problem}" for problem in problems])
    return found
