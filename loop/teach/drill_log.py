"""A drill on file: a case that a teacher made, and a call that is kept to be played again."""

import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from loop.diagnose import BY_NAME, places
from loop.job import JobError, parse_job, read_job
from loop.records import dataclass
from loop.teach.cases import Case, Level, invented_job, made_case
from loop.tomlfile import read_text
from loop.units import System
from loop.words.commands import SAY as FILES
from loop.words.teaching.drills import SAY

_Model = TypeVar("_Model", bound=BaseModel)


@dataclass(frozen=True)
class Source:
    """Where a drill's job came from: its tables (None: the drill's own loop) and their folder."""

    tables: dict[str, Any] | None
    folder: str


class CaseFile(BaseModel):
    """A case as a teacher writes it.

    ``fault`` by its name, of a pair both with " + " between; ``where`` and ``severity`` may be left
    out: the first place, the middle of its range. ``job`` is a path from the file's own folder, the
    drill's own loop where left out. The seed draws the boat.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    fault: str
    where: str = ""
    severity: tuple[float, ...] = ()
    seed: int = Field(default=0, ge=0)
    level: Level = 2
    job: str = ""


def read_case(path: str | Path) -> Case:
    """The case of a file; raises JobError, with a line for each mistake."""
    path = Path(path)
    try:
        made = _read(path, "case", CaseFile, tomllib.loads)
    except JobError:
        raise
    except ValueError as error:
        raise JobError([f"{path}: {error}"]) from None
    job = read_job(path.parent / made.job) if made.job else invented_job()
    spots = places(job, made.fault)
    if not spots:
        raise JobError([SAY("case-cannot", file=str(path), fault=repr(made.fault))])
    names = made.fault.split(" + ")
    severity = made.severity or tuple((BY_NAME[n].low + BY_NAME[n].high) / 2 for n in names)
    if len(severity) != len(names):
        raise JobError([SAY("case-severity", file=str(path), fault=repr(made.fault))])
    return made_case(job, made.seed, made.level, made.fault, made.where or spots[0], severity)


class DrillLog(BaseModel):
    """A call that is kept.

    ``job`` holds the tables of the job file, None for the drill's own loop, and ``folder`` where
    it lay, from which paths of pump files start. ``lines`` are what was typed, in order.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    loop_drill: int = Field(ge=2, le=2)
    job: dict[str, Any] | None
    folder: str
    units: System
    seed: int = Field(ge=0)
    level: Level
    fault: str = Field(max_length=200)
    where: str = Field(max_length=200)
    severity: tuple[float, ...] = Field(max_length=2)
    lines: tuple[str, ...] = Field(max_length=400)
    points: int
    minutes: float

    def played_case(self) -> Case:
        """The case of this drill; raises JobError where its tables are no job."""
        job = (
            invented_job()
            if self.job is None
            else parse_job(self.job, SAY("kept-job"), self.folder)
        ).model_copy(update={"units": self.units})
        return made_case(job, self.seed, self.level, self.fault, self.where, self.severity)


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

    Raises JobError where there is no such file, or it is not one that a drill wrote.
    """
    path = Path(path)
    try:
        return _read(path, "drill", DrillLog, json.loads)
    except JobError:
        raise
    except (ValueError, RecursionError):
        raise JobError([SAY("not-kept", file=str(path))]) from None


def _read(path: Path, what: str, model: type[_Model], load: Callable[[str], Any]) -> _Model:
    """A file's text, loaded and checked; raises JobError for a mistake with a place in it."""
    try:
        return model.model_validate(load(read_text(path, what)))
    except OSError as error:
        raise JobError(
            [FILES("cannot-read", file=str(path), why=str(error.strerror or error))]
        ) from None
    except ValidationError as error:
        told = (f"{' '.join(map(str, item['loc']))}: {item['msg']}" for item in error.errors())
        raise JobError([f"{path}: {line}" for line in told]) from None
