"""The boat of a call: a job file, or what is known if there is none."""

import typer

from loop.cli.options import load_job, option
from loop.cli.streams import complain
from loop.cli.typed import ask
from loop.diagnose.hypotheses import Study, prepare
from loop.job import JobError
from loop.pumps import UnknownPumpError
from loop.pumps.writing import supply_stated
from loop.records import dataclass
from loop.units import System, UnitError, parse
from loop.units.definitions import Kind
from loop.words.commands import SAY

_SMALLEST, _LARGEST = 250.0, 60_000.0  # cooling of one unit [W]
_KINDS: dict[str, Kind] = {
    "unit": "power",
    "bore": "length",
    "length": "length",
    "pump_height": "length",
    "sea": "temperature",
}
# What is asked in words: option name to text row of the question.
_ASKED = {
    "unit": "ask-unit",
    "bore": "ask-bore",
    "pump_height": "ask-pump-height",
    "supply": "ask-supply",
}


@dataclass(frozen=True)
class Known:
    """What the options, by the same names, say about a boat without a job file, as text."""

    unit: str | None = None
    bore: str | None = None
    length: str | None = None
    pump: str | None = None
    pump_height: str | None = None
    sea: str | None = None
    supply: str | None = None
    bleed: bool = False
    dc: bool = False


def asked() -> Known:
    """A person's answers to five questions about a boat without a job file."""
    answers: dict[str, str] = {}
    for name, question in _ASKED.items():
        while name not in answers:
            text = ask(SAY(question))
            problem = _problem(name, text) if text or name == "unit" else ""
            if problem:
                complain(problem)
            else:
                answers[name] = text
    unit, bore, height, supply = (answers[name] or None for name in _ASKED)
    bleed = typer.confirm(SAY("ask-bleed"), default=False)
    return Known(unit=unit, bore=bore, pump_height=height, supply=supply, bleed=bleed)


def as_options(known: Known) -> str:
    """The same facts as command-line options."""
    said = {name: value for name, value in vars(known).items() if value}
    return " ".join(
        option(name) if value is True else f'{option(name)} "{value}"'
        for name, value in said.items()
    )


def _problem(name: str, text: str) -> str:
    """What is wrong with one value; "" if nothing."""
    try:
        if name == "supply":
            supply_stated(text)
            return ""
        value = parse(text, _KINDS[name])
    except UnitError as error:
        return f"{option(name)}: {error}"
    if name == "unit" and not _SMALLEST < value < _LARGEST:
        return SAY("unit-cooling", unit=repr(text))
    return ""


def study_of(job: str | None, known: Known, units: System | None, prior: dict[str, float]) -> Study:
    """The study of a job file, or of a kind of loop if ``known.unit`` is given.

    Raises JobError if neither or both are given, or if a value is invalid.
    """
    if known.unit is not None and job is not None:
        raise JobError([SAY("unit-or-job")])
    if known.unit is not None:
        return _of_kind(known, units, prior)
    given = [name for name, value in vars(known).items() if value]
    if given:
        raise JobError([SAY("goes-with-unit", option=option(given[0]))])
    if job is None:
        raise JobError([SAY("no-job")])
    return prepare(load_job(job, units), prior)


def _of_kind(known: Known, units: System | None, prior: dict[str, float]) -> Study:
    from loop.diagnose.unknown_loop import LoopKind, known_pump, prepare_unit

    names = (*_KINDS, "supply")
    given = {name: text for name in names if (text := getattr(known, name)) is not None}
    problems = [found for name, text in given.items() if (found := _problem(name, text))]
    if known.pump is not None:
        supply = given.get("supply", "")
        usual = not supply or bool(_problem("supply", supply))
        try:
            known_pump(known.pump, supply_stated("115 V" if usual else supply))
        except UnknownPumpError as error:
            problems.append(f"{option('pump')}: {error.args[0]}")
    if problems:
        raise JobError(problems)
    values = {
        name: parse(given[name], kind) if name in given else None for name, kind in _KINDS.items()
    }
    return prepare_unit(
        LoopKind(
            parse(given["unit"], _KINDS["unit"]),
            bore=values["bore"],
            length=values["length"],
            pump=known.pump,
            pump_height=values["pump_height"],
            sea=values["sea"],
            bleed=known.bleed,
            drive="dc" if known.dc else "ac",
            supply=known.supply,
            units=units or "us",
        ),
        prior,
    )
