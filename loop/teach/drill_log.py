"""A drill that is kept: what it takes to play it again, and what came of it."""

import json
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from loop.job import Job, JobError, parse_job
from loop.records import dataclass
from loop.teach.cases import Level, invented_job
from loop.teach.drill import Outcome
from loop.tomlfile import read_text
from loop.units import System


class DrillLog(BaseModel):
    """A drill on file.

    ``job`` holds the tables of the job file, None for the drill's own loop, and ``folder`` where
    it lay, from which paths of pump files start. ``taken`` are readings in order; ``answer`` the
    fault named.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    loop_drill: int = Field(ge=1, le=1)
    job: dict[str, Any] | None
    folder: str
    units: System
    seed: int = Field(ge=0)
    level: Level
    taken: tuple[str, ...] = Field(max_length=200)
    answer: str = Field(max_length=200)
    points: int
    minutes: float

    def played_job(self) -> Job:
        """The job of this drill; raises JobError where its tables are no job."""
        job = (
            invented_job()
            if self.job is None
            else parse_job(self.job, "the drill's job", self.folder)
        )
        return job.model_copy(update={"units": self.units})


@dataclass(frozen=True)
class Source:
    """Where a drill's job came from: its tables (None: the drill's own loop) and their folder."""

    tables: dict[str, Any] | None
    folder: str


def log_text(outcome: Outcome, source: Source) -> str:
    """A finished drill as the text of its file."""
    case = outcome.case
    log = DrillLog(
        loop_drill=1,
        job=source.tables,
        folder=source.folder,
        units=case.job.units,
        seed=case.seed,
        level=case.level,
        taken=tuple(one.key for one in outcome.looks),
        answer=outcome.answer,
        points=outcome.points,
        minutes=outcome.minutes,
    )
    return json.dumps(log.model_dump(), indent=2) + "\n"


def read_log(path: str | Path) -> DrillLog:
    """A drill from its file.

    Raises JobError where there is no such file, or it is not one that a drill wrote.
    """
    path = Path(path)
    try:
        return DrillLog.model_validate(json.loads(read_text(path, "drill")))
    except OSError as error:
        raise JobError([f"{path}: cannot be read: {error.strerror or error}"]) from None
    except ValidationError as error:
        raise JobError(
            [
                f"{path}: {' '.join(str(step) for step in item['loc'])}: {item['msg']}"
                for item in error.errors()
            ]
        ) from None
    except (ValueError, RecursionError):
        raise JobError([f"{path}: is not a drill kept with --log"]) from None
