"""The boat of a call: a job file, or what is known where there is none."""

from loop.cli.options import load_job, option
from loop.diagnose.hypotheses import Study, prepare
from loop.job import JobError
from loop.records import dataclass
from loop.units import System, UnitError, parse
from loop.units.definitions import Kind
from loop.words.commands import SAY

_SMALLEST, _LARGEST = 250.0, 60_000.0  # W of cooling that one unit has
_KINDS: dict[str, Kind] = {
    "unit": "power",
    "bore": "length",
    "length": "length",
    "pump_height": "length",
    "sea": "temperature",
}


@dataclass(frozen=True)
class Known:
    """What the options say of a boat without a job file, as text; the options of those names."""

    unit: str | None = None
    bore: str | None = None
    length: str | None = None
    pump: str | None = None
    pump_height: str | None = None
    sea: str | None = None
    bleed: bool = False
    dc: bool = False


def study_of(job: str | None, known: Known, units: System | None, prior: dict[str, float]) -> Study:
    """The study of a job file, or of loops of a kind where ``known.unit`` is given.

    Raises JobError where there is neither, or both, or a value that is not right.
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
    from loop.diagnose.unknown_loop import LoopKind, prepare_unit

    values: dict[str, float | None] = {}
    problems = []
    for name, kind in _KINDS.items():
        text = getattr(known, name)
        try:
            values[name] = None if text is None else parse(text, kind)
        except UnitError as error:
            problems.append(f"{option(name)}: {error}")
    cooling = values.get("unit")
    if cooling is not None and not _SMALLEST < cooling < _LARGEST:
        problems.append(SAY("unit-cooling", unit=repr(known.unit)))
    if problems or cooling is None:
        raise JobError(problems)
    return prepare_unit(
        LoopKind(
            cooling,
            bore=values["bore"],
            length=values["length"],
            pump=known.pump,
            pump_height=values["pump_height"],
            sea=values["sea"],
            bleed=known.bleed,
            drive="dc" if known.dc else "ac",
            units=units or "us",
        ),
        prior,
    )
