"""Readings as a person writes them → numbers with their uncertainty."""

import difflib
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from loop.diagnose.measured import Measured, read_bucket
from loop.diagnose.reading_kinds import KINDS, ReadingKind
from loop.job import Job, JobError, read_toml
from loop.job.day import day
from loop.units import UnitError, parse_measured

_LARGEST_WEIGHT = 1e6
# After so many mistakes the nearest name is no longer looked for: there may be a thousand of each.
_HINTS = 10
_EXTRA = ("date", "note", "bucket", "prior")


@dataclass(frozen=True)
class Readings:
    """What was read on one call.

    ``numbers`` and ``words`` by key, such as ``flow`` or ``outlet_temperature.saloon``; ``prior``
    the weights of faults that the person sets; ``texts`` every reading as it was written.
    """

    numbers: Mapping[str, Measured] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    prior: Mapping[str, float] = field(default_factory=dict)
    date: str = ""
    note: str = ""

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of all that was read."""
        return (*self.numbers, *self.words)

    @property
    def texts(self) -> dict[str, str]:
        """Every reading as text that reads back to itself."""
        return {key: one.text for key, one in self.numbers.items()} | dict(self.words)

    def only(self, keys: Iterable[str]) -> "Readings":
        """These readings alone, of those that were taken."""
        keep = set(keys)
        return Readings(
            {k: v for k, v in self.numbers.items() if k in keep},
            {k: v for k, v in self.words.items() if k in keep},
            self.prior,
            self.date,
            self.note,
        )

    def having(self, other: "Readings") -> "Readings":
        """These readings with another's added, which count where both have one."""
        return Readings(
            {**self.numbers, **other.numbers},
            {**self.words, **other.words},
            {**self.prior, **other.prior},
            other.date or self.date,
            other.note or self.note,
        )


def read_readings(path: str | Path, job: Job) -> Readings:
    """The readings in a TOML file; raises JobError with every mistake in it."""
    return parse_readings(read_toml(path, "readings"), job, str(path))


def parse_readings(data: Mapping[str, Any], job: Job, name: str = "readings") -> Readings:
    """Readings from a table of text, as in a TOML file.

    Parameters
    ----------
    data : mapping
        Reading → text, such as ``{"flow": "150 gal/h ± 10", "stream": "steady"}``. Where the job
        has several condensers, those of one unit are ``{"outlet_temperature": {"saloon": "95
        degF"}}`` (in TOML ``outlet_temperature.saloon``); ``date``, ``note``, and ``prior`` (a
        table of fault → weight) may stand beside them.
    job : Job
    name : str
        Goes before each mistake.

    Raises
    ------
    JobError
        Unknown readings or units, wrong units of measure, numbers out of range, all at once.
    """
    found = _Reader(job)
    for key, value in data.items():
        found.take(str(key), value)
    if found.problems:
        raise JobError([f"{name}: {problem}" for problem in found.problems])
    return Readings(found.numbers, found.words, found.prior, found.date, found.note)


def parse_assignments(texts: Iterable[str], job: Job) -> Readings:
    """Readings from texts such as ``"flow=150 gal/h"``; raises JobError as `parse_readings`."""
    data: dict[str, Any] = {}
    problems = []
    for text in texts:
        key, equals, value = text.partition("=")
        if not equals or not key.strip() or not value.strip():
            problems.append(f'--reading: {text[:60]!r} is not NAME=VALUE, such as "flow=150 gal/h"')
        elif key.strip() in data:
            problems.append(f"--reading: {key.strip()} is given twice; give it once")
        else:
            data[key.strip()] = value.strip()
    if problems:
        raise JobError(problems)
    return parse_readings(data, job, "--reading")


def parse_priors(texts: Iterable[str]) -> dict[str, float]:
    """Weights of faults from texts such as ``"pump-worn=0.3"``; raises JobError as above."""
    found: dict[str, float] = {}
    problems = []
    for text in texts:
        name, _, value = text.partition("=")
        try:
            weight = float(value)
        except ValueError:
            weight = math.nan
        if not 0 <= weight <= _LARGEST_WEIGHT:
            problems.append(f'--prior: {text[:60]!r} is not FAULT=WEIGHT, such as "pump-worn=0.3"')
        found[name.strip()] = weight
    if problems:
        raise JobError(problems)
    return found


class _Reader:
    """Collects readings and mistakes."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.units = [unit.name for unit in job.condenser]
        self.numbers: dict[str, Measured] = {}
        self.words: dict[str, str] = {}
        self.prior: dict[str, float] = {}
        self.problems: list[str] = []
        self.date = self.note = ""

    def take(self, key: str, value: Any) -> None:
        if key == "prior":
            self._prior(value)
            return
        if isinstance(value, Mapping):
            for unit, inner in value.items():
                self.take(f"{key}.{unit}", inner)
            return
        if not isinstance(value, str):
            if key == "date" and hasattr(value, "isoformat"):
                self._remark(key, str(value.isoformat())[:10])
                return
            self.problems.append(
                f"{key}: {str(value)[:40]!r} must be text in quotes, with its unit"
            )
            return
        if key in ("date", "note"):
            self._remark(key, value)
            return
        try:
            self._reading(key, value)
        except UnitError as error:
            self.problems.append(f"{key}: {error}")

    def _remark(self, key: str, value: str) -> None:
        if key == "note":
            self.note = value
            return
        try:
            self.date = day(value)
        except ValueError as error:
            self.problems.append(f"date: {error}")

    def _prior(self, value: Any) -> None:
        if not isinstance(value, Mapping):
            self.problems.append("prior: must be a table of fault = weight")
            return
        for fault, weight in value.items():
            good = isinstance(weight, int | float) and not isinstance(weight, bool)
            if not good or not 0 <= weight <= _LARGEST_WEIGHT:
                self.problems.append(
                    f"prior {fault}: {str(weight)[:40]!r} must be a number, 0 or more"
                )
            else:
                self.prior[str(fault)] = float(weight)

    def _reading(self, key: str, text: str) -> None:
        base, _, unit = key.partition(".")
        if base == "bucket" or (base == "flow" and re.search(r"\s+in\s+", text)):
            key = ".".join(("flow", unit)) if unit else "flow"
            kind = KINDS["flow"]
            measured = read_bucket(text)
            kind.accept(measured.value, measured.half_width, text)
        elif base in KINDS:
            kind = KINDS[base]
            if kind.choices:
                self._word(key, kind, text)
                return
            key, kind, measured = self._number(key, kind, text)
        else:
            known = [*KINDS, *_EXTRA]
            near = difflib.get_close_matches(base, known, n=1, cutoff=0.5)
            hint = f"did you mean {near[0]!r}?" if near else f"known here: {', '.join(known)}"
            self.problems.append(f"{key}: unknown reading; {hint}")
            return
        full = self._with_unit(key, kind, unit)
        if full is None:
            return
        if full in self.numbers:
            self.problems.append(
                f"{full}: is given twice, perhaps as bucket and flow; give it once"
            )
        self.numbers[full] = measured

    def _number(self, key: str, kind: ReadingKind, text: str) -> tuple[str, ReadingKind, Measured]:
        if kind.name == "supply" and "hz" in text.lower():
            kind, key = KINDS["frequency"], "frequency"
        assert kind.kind is not None
        value, half_width = parse_measured(text, kind.kind)
        kind.accept(value, half_width, text)
        return key, kind, Measured(value, half_width or kind.half_width(value), text)

    def _word(self, key: str, kind: ReadingKind, text: str) -> None:
        word = text.strip().lower()
        if word not in kind.choices:
            raise UnitError(f"{text[:40]!r} is not known here; one of: {', '.join(kind.choices)}")
        if "." in key:
            raise UnitError(f"belongs to the whole loop; write {kind.name}")
        self.words[key] = word

    def _with_unit(self, key: str, kind: ReadingKind, unit: str) -> str | None:
        """The full key; None, and a mistake, where the unit is wrong or missing."""
        base = key.partition(".")[0]
        if unit and not kind.per_unit:
            self.problems.append(f"{key}: belongs to the whole loop; write {base}")
            return None
        if unit and unit not in self.units:
            some = self.units if len(self.problems) < _HINTS else ()
            near = difflib.get_close_matches(unit, some, n=1, cutoff=0.0)
            hint = f"; nearest: {near[0]!r}" if near else ""
            self.problems.append(f"{key}: no condenser {unit!r}{hint}")
            return None
        if len(self.units) == 1:
            return base
        if kind.per_unit and not unit and base != "flow":
            self.problems.append(
                f"{key}: the job has several condensers; say which, as {base}.{self.units[0]}"
            )
            return None
        return key
