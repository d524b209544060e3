"""The folder that the page works in: job and pump files by name, and nothing outside it."""

import contextlib
import hashlib
import os
import re
import shlex
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from loop.job import JobError, file_text
from loop.records import dataclass
from loop.tomlfile import tables
from loop.whole_file import put_whole
from loop.words.page import SAY

# A plain file name: letters, digits, spaces, dots, dashes; no path, no hidden file.
_NAME = re.compile(r"[^\W_][\w .-]{0,79}\.toml")
# Names that one operating system reserves for devices, whatever their suffix.
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)

# How mistakes call a text that the page shows, with its file's name above it.
THIS_FILE = "this file"
# Most subfolders searched for jobs.
_MOST_FOLDERS = 100


def _tables_of(text: str) -> dict[str, Any]:
    """A file's tables; for a job with broken TOML, just enough to recognize it as a job."""
    try:
        return tables(text, "job")
    except ValueError:
        return {"part": []} if "[[part]]" in text else {}


class ConflictError(Exception):
    """The file on disk is not the version that the page last read."""


@dataclass(frozen=True)
class Opened:
    """A file's text, and a mark that reveals a later change on disk."""

    text: str
    mark: str


@dataclass(frozen=True)
class Folder:
    """Files of one folder; names that lead outside it are refused with JobError."""

    root: Path

    def names(self) -> list[str]:
        """Files that may be opened, sorted by name."""
        return sorted(entry.name for entry in self._entries())

    def jobs(self) -> list[dict[str, str]]:
        """The job files: name, title, and a menu entry for each, no two alike."""
        found = []
        for name, data in self._tables():
            if isinstance(data.get("part"), list):
                title = data.get("title")
                found.append({"name": name, "title": title if isinstance(title, str) else name})
        titles = Counter(job["title"] for job in found)
        for job in found:
            alone = titles[job["title"]] == 1
            job["called"] = job["title"] if alone else f"{job['title']} ({job['name']})"
        return found

    def jobs_below(self) -> list[str]:
        """Subfolders that hold job files, `examples` first; used if this folder holds none."""
        try:
            below = sorted(self.root.iterdir(), key=lambda entry: (entry.name != "examples", entry))
        except OSError:
            return []
        return [
            entry.name
            for entry in below[:_MOST_FOLDERS]
            if not entry.name.startswith((".", "_")) and entry.is_dir() and not entry.is_symlink()
            if any(isinstance(data.get("part"), list) for _, data in Folder(entry)._tables())
        ]

    def pumps(self) -> list[str]:
        """The pump files."""
        return [name for name, data in self._tables() if isinstance(data.get("curve"), dict)]

    def _tables(self) -> Iterator[tuple[str, dict[str, Any]]]:
        for name in self.names():
            with contextlib.suppress(JobError):
                yield name, _tables_of(self.read(name).text)

    def read(self, name: str) -> Opened:
        """A file's text; raises JobError if there is no such file or it cannot be read."""
        path = self._path(name)
        if not os.path.lexists(path):
            raise JobError([SAY("no-job-file", file=name)])
        text = file_text(path, "job", name)
        return Opened(text, mark_of(text))

    def write(self, name: str, text: str, mark: str | None) -> str:
        """Writes a whole file and returns its new mark; `mark` is that of the text it replaces.

        `mark` is None for a file that must not exist yet. Raises ConflictError if the file on disk
        has changed since, JobError if it cannot be written.
        """
        path = self._path(name)
        there = mark_of(self.read(name).text) if path.exists() else None
        if there != mark:
            raise ConflictError(name)
        try:
            put_whole(path, text.encode("utf-8"))
        except OSError as error:
            raise JobError(
                [SAY("cannot-write", file=name, why=error.strerror or str(error))]
            ) from None
        return mark_of(text)

    def guard(self, text: str, name: str = THIS_FILE) -> None:
        """Raises JobError if a text is not TOML, or names a pump file outside the folder.

        `name` precedes what is wrong with the TOML.
        """
        root = os.path.realpath(self.root)
        try:
            data = tables(text, "job")
        except ValueError as error:
            raise JobError([f"{name}: {error}"]) from None
        for reference in _pump_files(data):
            there = os.path.realpath(os.path.join(root, reference))
            if os.path.dirname(there) != root:
                raise JobError([SAY("pump-outside", file=repr(reference[:60]))])

    def _entries(self) -> Iterator[Path]:
        try:
            entries = sorted(self.root.iterdir())[:2000]
        except OSError:
            return
        for entry in entries:
            if self._allowed(entry.name) and entry.is_file() and not entry.is_symlink():
                yield entry

    def _path(self, name: str) -> Path:
        path = self.root / name
        if not self._allowed(name) or path.is_symlink():
            raise JobError([SAY("no-job-name", file=repr(name[:60]))])
        return path

    @staticmethod
    def _allowed(name: str) -> bool:
        return bool(_NAME.fullmatch(name)) and not _DEVICES.fullmatch(name)


def opens(folder: Path) -> str:
    """The command that opens a folder, relative to the current directory if it is below that."""
    near = os.path.relpath(folder)
    return f"loop page {shlex.quote(str(folder) if near.startswith('..') else near)}"


def mark_of(text: str) -> str:
    """A short hash of a text."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:20]


def _pump_files(data: dict[str, Any]) -> Iterator[str]:
    """Every pump reference that looks like a path."""
    queue: list[Any] = [data]
    while queue:
        value = queue.pop()
        if isinstance(value, dict):
            queue += value.values()
            given = [value.get("curve"), *_listed(value.get("pumps"))]
            yield from (v for v in given if isinstance(v, str) and _looks_like_path(v))
        elif isinstance(value, list):
            queue += value


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _looks_like_path(text: str) -> bool:
    return "/" in text or "\\" in text or text.lower().endswith(".toml") or text.startswith("~")
