"""A drill on file: a case written by a teacher, and a saved call that can be replayed."""

import json
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from loop.job import Job, JobError, file_text, parse_job, read_job, read_toml
from loop.mistakes import lines
from loop.records import dataclass
from loop.teach.cases import Case, Level, invented_job, make_case
from loop.units import System
from loop.words.teaching.drills import SAY

_Model = TypeVar("_Model", bound=BaseModel)


@dataclass(frozen=True)
class Source:
    """Source of a drill's job: its tables (None: the drill's own loop) and their folder."""

    tables: dict[str, Any] | None
    folder: str


class CaseFile(BaseModel):
    """A case as a teacher writes it.

    ``fault`` is a name, or both names of a pair with " + " between; ``where`` and ``severity``
    default to the first site and the middle of the range. ``job`` is a path from the file's own
    folder, default the drill's own loop. The seed draws the boat.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
    fault: str
    where: str = ""
    severity: tuple[float, ...] = ()
    seed: int = Field(default=0, ge=0)
    level: Level = 2
    job: str = ""


def read_case(path: str | Path) -> Case:
    """The case of a file; raises JobError with a line for each mistake."""
    path = Path(path)
    source = _checked(CaseFile, read_toml(path, "case"), path)
    return _make_case(
        read_job(path.parent / source.job) if source.job else invented_job(), source, str(path)
    )


class DrillLog(BaseModel):
    """A saved call.

    ``job`` holds the tables of the job file, None for the drill's own loop, and ``folder`` its
    location, against which paths of pump files resolve. ``lines`` : the lines typed, in order.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
    loop_drill: int = Field(ge=2, le=2)
    job: dict[str, Any] | None
    folder: str
    units: System
    seed: int = Field(ge=0)
    level: Level
    fault: str = Field(max_length=200)
    where: str = Field(max_length=200)
    severity: tuple[float, ...] = Field(min_length=1, max_length=2)
    lines: tuple[str, ...] = Field(max_length=400)
    points: int
    minutes: float

    def case(self, name: str) -> Case:
        """The case of this drill; raises JobError, which names the file `name`, if invalid."""
        job = (
            invented_job()
            if self.job is None
            else parse_job(self.job, SAY("kept-job"), self.folder)
        )
        return _make_case(job.shown_in(self.units), self, name)


def _make_case(job: Job, source: CaseFile | DrillLog, name: str) -> Case:
    """The case of a file on a job; raises JobError, which names the file `name`, if invalid."""
    try:
        return make_case(
            job, source.seed, source.level, source.fault, source.where, source.severity
        )
    except JobError as error:
        raise JobError([f"{name}: {problem}" for problem in error.problems]) from None


def log_text(case: Case, lines: list[str], source: Source, points: int, minutes: float) -> str:
    """A finished drill as the text of its file."""
    log = DrillLog(
        loop_drill=2,
        job=source.tables,
        folder=source.folder,
        units=case.job.units,
        seed=case.seed,
        level=case.level,
        fault=case.fault,
        where=case.where,
        severity=case.severity,
        lines=tuple(lines),
        points=points,
        minutes=minutes,
    )
    return json.dumps(log.model_dump(), indent=2) + "\n"


def read_log(path: str | Path) -> DrillLog:
    """A drill from its file.

    Raises JobError where there is no such file, or it was not written by a drill.
    """
    path = Path(path)
    text = file_text(path, "drill")
    try:
        tables = json.loads(text)
    except (ValueError, RecursionError):
        raise JobError([SAY("not-kept", file=str(path))]) from None
    return _checked(DrillLog, tables, path)


def _checked(model: type[_Model], tables: Any, path: Path) -> _Model:
    """A file's tables, validated; raises JobError with a line for each mistake."""
    try:
        return model.model_validate(tables)
    except ValidationError as error:
        found = lines(error, lambda item: model.model_fields)
        raise JobError([f"{path}: {line}" for line in found]) from None
