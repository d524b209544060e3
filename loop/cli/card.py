"""`loop card`: one file that finds the fault on a phone; or on paper; or for a whole fleet."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from loop.card import Card, index, to_html, to_pdf
from loop.card import card as compose
from loop.cli.boat import Known, study_of
from loop.cli.options import load_job, write_whole
from loop.diagnose import prepare
from loop.job import JobError, read_toml
from loop.sheet import sheet
from loop.units import System
from loop.words.commands import SAY

_RENDERERS: dict[str, Callable[[Card], str | bytes]] = {".html": to_html, ".pdf": to_pdf}
_MOST_JOBS = 200
_KNOWN = {
    "unit": "known-unit", "bore": "known-bore", "length": "known-length", "pump": "known-pump",
    "pump_height": "known-height", "sea": "known-sea", "supply": "known-supply",
}  # fmt: skip


def card(
    output: str,
    job: str | None,
    units: System | None,
    **boat: Any,
) -> None:
    """Write a card that finds the fault on a phone, with no signal and nothing installed."""
    known = Known(**boat)
    if job is not None and Path(job).is_dir():
        if known != Known():
            raise JobError([SAY("unit-or-folder")])
        _fleet(Path(job), Path(output), units)
        return
    ending = Path(output).suffix.lower()
    if ending not in _RENDERERS:
        raise JobError([SAY("card-ending", file=output)])
    made = _of_job(job, known, units) if known.unit is None else _of_unit(job, known, units)
    write_whole(output, _RENDERERS[ending](made))
    print(f"{output}: {made.title}")


def _of_job(job: str | None, known: Known, units: System | None) -> Card:
    study = study_of(job, known, units, {})
    assert job is not None
    return compose(study, sheet(study.instruments.job, read_toml(job)))


def _of_unit(job: str | None, known: Known, units: System | None) -> Card:
    study = study_of(job, known, units, {})
    given = {row: getattr(known, name) for name, row in _KNOWN.items()}
    said = [SAY(row, value=text) for row, text in given.items() if text]
    said += [SAY("known-bleed")] * known.bleed + [SAY("known-supply", value="12 V")] * known.dc
    return compose(study, known=tuple(said))


def _fleet(folder: Path, output: Path, units: System | None) -> None:
    """A card for every job in a folder, and an index page; mistakes are reported at the end."""
    jobs = sorted(path for path in folder.glob("*.toml") if _is_job(path))
    if not jobs:
        raise JobError([SAY("fleet-empty", folder=str(folder))])
    if len(jobs) > _MOST_JOBS:
        raise JobError([SAY("fleet-large", folder=str(folder), count=len(jobs), most=_MOST_JOBS)])
    lists = [path for path in jobs if path.stem.casefold() == "index"]  # some disks ignore case
    if lists:
        raise JobError([SAY("fleet-index", file=str(path)) for path in lists])
    output.mkdir(parents=True, exist_ok=True)
    entries, problems = [], []
    for path in jobs:
        try:
            job = load_job(str(path), units)
            made = compose(prepare(job), sheet(job, read_toml(path)))
        except JobError as error:
            problems += error.problems
            entries.append(("", path.name, SAY("fleet-no-card")))
            continue
        write_whole(output / f"{path.stem}.html", to_html(made))
        entries.append((f"{path.stem}.html", made.title, made.colophon))
        print(f"{output / path.stem}.html: {made.title}", file=sys.stderr)
    listed = output / "index.html"
    write_whole(listed, index(entries))
    print(SAY("fleet-written", file=str(listed), count=sum(bool(file) for file, *_ in entries)))
    if problems:
        raise JobError(problems)


def _is_job(path: Path) -> bool:
    """Whether a file is meant as a job, even with mistakes; readings and pump files are not."""
    try:
        return "part" in read_toml(path)
    except JobError:
        return False
