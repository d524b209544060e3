"""Studies shared by many tests, each prepared once; nothing changes a study."""

from functools import cache

from loop.diagnose import Study, prepare
from loop.diagnose.unknown_loop import LoopKind, prepare_unit
from loop.job import read_job
from tests.command_line import EXAMPLES


@cache
def study_of(name: str) -> Study:
    """The study of an example's job, by the name of its file."""
    return prepare(read_job(EXAMPLES / f"{name}.toml"))


@cache
def study_of_no_job(drive: str = "ac", pump_height: float | None = None) -> Study:
    """The study of a boat without a job file, known to have one ton of cooling.

    pump_height : above the waterline [m], if known too.
    """
    return prepare_unit(LoopKind(3516.85, drive=drive, pump_height=pump_height))
