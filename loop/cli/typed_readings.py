"""Readings on the command line: in a file, or each as ``flow=150 gal/h``."""

from collections.abc import Iterable, Sequence
from pathlib import Path

from loop.diagnose import Readings, parse_assignments, read_readings
from loop.job import Job, JobError
from loop.words.commands import SAY


def is_reading(word: str) -> bool:
    """Whether a word of the command line is a reading rather than a file name.

    >>> is_reading("stream=none"), is_reading("boat.toml")
    (True, False)
    """
    return "=" in word and not Path(word).exists()


def readings_of(words: Sequence[str], option: Iterable[str], job: Job) -> Readings:
    """Readings from the words after the job and from ``--reading``; raises JobError."""
    typed = [word for word in words if is_reading(word)]
    files = [word for word in words if word not in typed]
    lost = [word for word in files if not word.endswith(".toml") and not Path(word).exists()]
    if lost:
        raise JobError([SAY("reading-or-file", word=word) for word in lost])
    if len(files) > 1:
        raise JobError([SAY("readings-files", files=" and ".join(files))])
    taken = read_readings(files[0], job) if files else Readings()
    return taken.having(parse_assignments([*typed, *option], job))
