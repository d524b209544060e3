"""Readings as people write them → numbers with uncertainty, words, steps."""

import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from loop.diagnose.measured import Measured, read_bucket, written_quantity
from loop.diagnose.name_matching import answer_synonyms, match_name, parse_action, parse_tools
from loop.diagnose.prior_weights import stated_weights
from loop.diagnose.reading_kinds import KINDS, ReadingKind
from loop.diagnose.readings import Readings, ReadingSet, StepDone
from loop.diagnose.statements import ALSO, BY_TEXT
from loop.job import Job, JobError, read_toml
from loop.job.day import day, day_text
from loop.mistakes import most_like
from loop.units import UnitError, parse_measured
from loop.words.diagnosis import SAY
from loop.wrong import wrong

# No nearest name is searched for after this many mistakes: there may be a thousand of each.
_HINTS = 10
# Top-level keys of a file that are not readings.
BESIDE = ("date", "note", "prior", "said", "tools", "step", "under_way")
_EXTRA = ("bucket", *BESIDE)


def read_readings(path: str | Path, job: Job) -> Readings:
    """The readings in a TOML file; raises JobError listing every mistake."""
    return parse_readings(read_toml(path, "readings"), job, str(path))


def parse_readings(data: Mapping[str, Any], job: Job, name: str = "readings") -> Readings:
    """Readings from a table of text, as in a TOML file.

    Parameters
    ----------
    data : mapping
        Reading → text, such as ``{"flow": "150 gal/h ± 10", "stream": "steady"}``, or a quantity of
        the units library. Where the job has several condensers, those of one unit are
        ``{"outlet_temperature": {"saloon": "95 degF"}}`` (in TOML ``outlet_temperature.saloon``).
        Further keys: ``date``, ``note``, ``prior`` (a table of fault → weight), ``said`` (the
        customer's statements), ``tools``, ``under_way`` (a table of readings) and ``step`` (a list
        of tables: ``did``, ``saw``, readings, its own ``under_way``; one with readings alone
        repeats them).
    job : Job
    name : str
        Prefix of each mistake; none if empty.

    Raises
    ------
    JobError
        Unknown readings or units, wrong units of measure, numbers out of range, all at once.
    """
    if not isinstance(data, Mapping):
        raise JobError([SAY("wrong-readings", where=name)])
    if "part" in data:
        raise JobError([wrong("file-is-job", file=name)])
    found = _Reader(job)
    # Repeated readings are processed after the first ones.
    for key, value in sorted(data.items(), key=lambda one: _as_in_files(str(one[0])) == "step"):
        found.take(str(key), value)
    if found.problems:
        lead = f"{name}: " if name else ""
        raise JobError([f"{lead}{problem}" for problem in found.problems])
    return found.readings()


def _as_in_files(key: str) -> str:
    """A reading's key in files, from that or from its displayed name.

    >>> _as_in_files("Outlet temperature of saloon"), _as_in_files("flow.aft cabin")
    ('outlet_temperature.saloon', 'flow.aft cabin')
    """
    base, *unit = re.split(r"\.| of ", key, maxsplit=1)
    name = re.sub(r"[\s-]+", "_", base.strip().lower()).replace("shut_off", "shutoff")
    known = name in KINDS or name in _EXTRA
    return ".".join([name, *map(str.strip, unit)]) if known else key


def parse_assignments(texts: Iterable[str], job: Job) -> Readings:
    """Readings from texts such as ``"flow=150 gal/h"``; raises JobError as `parse_readings`."""
    data: dict[str, Any] = {}
    problems = []
    for text in texts:
        key, equals, value = text.partition("=")
        if not equals or not key.strip() or not value.strip():
            problems.append(SAY("wrong-assignment", text=repr(text[:60])))
        elif key.strip() in data:
            problems.append(SAY("wrong-given-twice", key=key.strip()))
        else:
            data[key.strip()] = value.strip()
    if problems:
        raise JobError(problems)
    return parse_readings(data, job, "--reading")


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
        self.said: tuple[str, ...] = ()
        self.tools: tuple[str, ...] | None = None
        self.under_way: ReadingSet | None = None
        self.steps: list[StepDone] = []

    def readings(self) -> Readings:
        return Readings(
            self.numbers,
            self.words,
            self.prior,
            self.date,
            self.note,
            self.said,
            self.tools,
            self.under_way,
            tuple(self.steps),
        )

    def take(self, key: str, value: Any) -> None:
        key = _as_in_files(key)
        special = {
            "said": self._said, "tools": self._tools, "step": self._steps,
            "under_way": self._under_way, "prior": self._prior,
        }.get(key)  # fmt: skip
        if special:
            special(value)
            return
        if isinstance(value, Mapping):
            for unit, inner in value.items():
                self.take(f"{key}.{unit}", inner)
            return
        if hasattr(value, "magnitude"):
            value = written_quantity(value, KINDS.get(key.partition(".")[0]))
        elif key == "date":
            value = day_text(value)
        if not isinstance(value, str):
            self.problems.append(SAY("wrong-no-text", key=key))
            return
        if key in ("date", "note"):
            self._remark(key, value)
            return
        try:
            self._reading(key, value)
        except UnitError as error:
            self.problems.append(f"{key}: {error}")

    def _said(self, value: Any) -> None:
        texts = [value] if isinstance(value, str) else value
        if not isinstance(texts, list | tuple):
            texts = [texts]
        known = dict.fromkeys(BY_TEXT, None) | ALSO
        found = [match_name(str(text), known, "said", self.problems, BY_TEXT) for text in texts]
        self.said = tuple(dict.fromkeys(text for text in found if text))

    def _tools(self, value: Any) -> None:
        self.tools = parse_tools(value, self.problems)

    def _under_way(self, value: Any) -> None:
        self.under_way = self._inner(value, "under_way")

    def _inner(self, value: Any, where: str) -> ReadingSet:
        inner = _Reader(self.job)
        if not isinstance(value, Mapping):
            self.problems.append(SAY("wrong-readings", where=where))
            return ReadingSet()
        for key, one in value.items():
            if _as_in_files(str(key)) in BESIDE:
                inner.problems.append(SAY("wrong-place", key=key))
            else:
                inner.take(str(key), one)
        self.problems += [f"{where}: {problem}" for problem in inner.problems]
        return ReadingSet(inner.numbers, inner.words)

    def _steps(self, value: Any) -> None:
        tables = value if isinstance(value, list | tuple) else [value]
        for number, table in enumerate(tables, 1):
            if isinstance(table, Mapping) and table and not {"did", "saw"} & table.keys():
                self._again(*self._read(table, f"step {number}"))
                continue
            if not isinstance(table, Mapping) or not isinstance(table.get("did"), str):
                self.problems.append(SAY("wrong-step", number=number, name="clean-basket"))
                continue
            action = parse_action(table["did"], self.problems, f"step {number}")
            saw = table.get("saw", "")
            if action and saw:
                answers = {one: one for one in action.answers} | answer_synonyms(action)
                where = f"step {number} saw"
                saw = match_name(
                    str(saw), answers, where, self.problems, action.answers, guess=False
                )
            rest = {key: one for key, one in table.items() if key not in ("did", "saw")}
            taken, away = self._read(rest, f"step {number}")
            if action:
                numbers, words = taken.numbers, taken.words
                self.steps.append(StepDone(numbers, words, action.name, saw or "", away))

    def _read(self, table: Mapping[str, Any], where: str) -> tuple[ReadingSet, ReadingSet | None]:
        """The readings of a step's table, at the dock and at speed."""
        away = {str(key) for key in table if _as_in_files(str(key)) == "under_way"}
        dock = {key: one for key, one in table.items() if str(key) not in away}
        speed = [self._inner(table[key], f"{where} under_way") for key in away]
        return self._inner(dock, where), speed[0] if speed else None

    def _again(self, taken: ReadingSet, away: ReadingSet | None) -> None:
        """Readings repeated in the state after the last step, or as found."""
        now = self.readings().now_having(taken, away)
        self.numbers, self.words = dict(now.numbers), dict(now.words)
        self.under_way, self.steps = now.under_way, list(now.steps)

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
            self.problems.append(SAY("wrong-prior"))
            return
        self.prior |= stated_weights(value, self.problems)

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
            near = most_like(base, known)
            listed = SAY("wrong-known", known=", ".join(known))
            hint = SAY("wrong-meant", near=repr(near)) if near else listed
            self.problems.append(SAY("wrong-key", key=key, hint=hint))
            return
        full = self._with_unit(key, kind, unit)
        if full is None:
            return
        if full in self.numbers:
            self.problems.append(SAY("wrong-twice", key=full))
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
        if not kind.meant(word):
            choices = (*kind.choices, *(also for also, _ in kind.also))
            hint = SAY("wrong-one-of", known=", ".join(choices))
            self.problems.append(SAY("wrong", where=key, text=repr(text[:40]), hint=hint))
            return
        full = self._with_unit(key, kind, key.partition(".")[2])
        if full is not None:
            self.words[full] = word

    def _with_unit(self, key: str, kind: ReadingKind, unit: str) -> str | None:
        """The full key; None, and a mistake, where the unit is wrong or missing."""
        base = key.partition(".")[0]
        if unit and not kind.per_unit:
            self.problems.append(SAY("wrong-of-loop", key=key, base=base))
            return None
        if unit and unit not in self.units:
            some = self.units if len(self.problems) < _HINTS else ()
            near = most_like(unit, some, 0.0)
            hint = SAY("wrong-nearest", near=repr(near)) if near else None
            self.problems.append(SAY("wrong-unit", key=key, unit=repr(unit), hint=hint))
            return None
        if len(self.units) == 1:
            return base
        if kind.per_unit and not unit and base != "flow":
            example = f"{base}.{self.units[0]}"
            self.problems.append(SAY("wrong-no-unit", key=key, example=example))
            return None
        return key
