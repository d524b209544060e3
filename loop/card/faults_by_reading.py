"""Table of what bucket time and water temperature rise point at, calculated cell by cell."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from loop.diagnose import parse_readings
from loop.diagnose.bayes import posterior
from loop.diagnose.display import any_of
from loop.diagnose.headline import odds_text
from loop.diagnose.hypotheses import Study
from loop.diagnose.step_order import LEADS
from loop.sheet.card import bucket as bucket_for
from loop.units import show
from loop.words import faults as words
from loop.words.had import Has
from loop.words.service_card import SAY
from loop.words.template import capital

# Shares of the healthy flow; and of the rise that rated heat gives at each of these flows: a rise
# that does not match the flow points at a unit rather than the loop.
_FLOWS = (1.0, 0.75, 0.5, 0.25)
_RISES = (0.5, 1.0, 1.4)
_COLUMNS = ("faults-rise-less", "faults-rise-right", "faults-rise-more")
_SOUNDS = {"silent": "faults-silent", "hums": "faults-hums", "normal": "faults-runs"}
# Standing water in a hot condenser warms by no more than this above the sea [K].
_HOTTEST = 25.0
# Most causes named together; and the least probability of a second cause named beside one that
# leads.
_NAMED = 3
_LEAST = 0.1


@dataclass(frozen=True)
class Likely:
    """A cause, and the probability that it is present, alone or with another."""

    fault: str
    probability: float


@dataclass(frozen=True)
class Cell:
    """The likeliest causes for one row and column; the first leads, or all lead together.

    ``before`` is the text row that wraps them, "" for none; ``together`` the probability that one
    of them is present; ``right`` whether all readings of this cell are healthy.
    """

    before: str
    causes: tuple[Likely, ...]
    has: Has
    together: float
    right: bool = False

    @property
    def leads(self) -> bool:
        """Whether the first cause is more likely than not, and so is the headline."""
        return self.causes[0].probability >= LEADS

    @property
    def lead_together(self) -> bool:
        """Whether no single cause leads, but one of those named is more likely than not."""
        return not self.leads and self.together >= LEADS

    @property
    def look(self) -> str:
        """How to check the first cause; "" if there is nothing to look for."""
        return "" if self.right else words.look(self.causes[0].fault, self.has)

    @property
    def text(self) -> str:
        """The leading cause or causes with their chances, or that none leads."""
        if self.right:
            return capital(words.fix("healthy", self.has))
        named = self._named()
        return SAY(self.before, causes=named) if self.before else capital(named)

    def _named(self) -> str:
        titles = list(dict.fromkeys(words.title(one.fault) for one in self.causes))
        if self.leads:
            return "; ".join(
                SAY("faults-cause", cause=words.title(one.fault), odds=odds_text(one.probability))
                for one in self.causes[:2]
                if one is self.causes[0] or one.probability >= _LEAST
            )
        if self.lead_together:
            return SAY("faults-cause", cause=any_of(titles), odds=odds_text(self.together))
        return SAY("faults-none")


@dataclass(frozen=True)
class Line:
    """One row: the flow reading, the matching rise, and the cells."""

    flow: str
    rise: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Table:
    """The table; ``measure`` names its first column."""

    measure: str
    columns: tuple[str, ...]
    lines: tuple[Line, ...]


def faults_by_reading(study: Study) -> Table:
    """The likeliest faults by flow and temperature rise, and by pump sound if no water comes.

    The rise in every unit is the same share of that at rated heat.
    """
    column = study.instruments.columns[study.instruments.column_of["flow"]]
    flow = float(study.from_scale(study.mean)[study.healthy, study.instruments.column_of["flow"]])
    by_bucket = column.kind.tool == "bucket"
    bucket, volume = bucket_for(flow, study.instruments.job.units)
    lines = []
    for share in _FLOWS:
        how_much = f"{volume:.6g} m^3 in {volume / (share * flow):.3f} s"
        read = how_much if by_bucket else f"{share * flow:.6g} m^3/s"
        shown = show(volume / (share * flow), "time", study.instruments.job.units)
        if not by_bucket:
            shown = show(share * flow, "flow", study.instruments.job.units)
        cells = [_cell(study, {"flow": read, **_warmed(study, w, share)}) for w in _RISES]
        if share == 1.0:
            cells[_RISES.index(1.0)] = replace(cells[_RISES.index(1.0)], right=True)
        lines.append(Line(shown, _rise(study, share), tuple(cells)))
    if by_bucket:
        lines.append(Line(SAY("faults-no-water"), "", tuple(_no_water(study))))
    measure = SAY("faults-bucket", bucket=bucket) if by_bucket else SAY("faults-flow")
    return Table(measure, tuple(SAY(row) for row in _COLUMNS), tuple(lines))


def _healthy_rises(study: Study) -> Iterator[tuple[str, float, float]]:
    """For each unit's outlet: its key, sea temperature [°C], and rise [K] in a healthy loop."""
    healthy = study.from_scale(study.mean)[study.healthy]
    sea = float(healthy[study.instruments.column_of["sea_temperature"]])
    for number, column in enumerate(study.instruments.columns):
        if column.kind.name == "outlet_temperature":
            yield column.key, sea, float(healthy[number]) - sea


def _warmed(study: Study, warmer: float, share: float) -> dict[str, str]:
    read = {}
    for key, sea, rise in _healthy_rises(study):
        read["sea_temperature"] = f"{sea:.3f} degC"
        read[key] = f"{sea + min(warmer * rise / share, _HOTTEST):.3f} degC"
    return read


def _rise(study: Study, share: float) -> str:
    """The rise at rated heat, for the unit with the greatest."""
    greatest = max(min(rise / share, _HOTTEST) for _, _, rise in _healthy_rises(study))
    return show(greatest, "temperature_difference", study.instruments.job.units, 0)


def _no_water(study: Study) -> Iterator[Cell]:
    for sound, row in _SOUNDS.items():
        found = _cell(study, {"stream": "none", "pump_sound": sound})
        yield replace(found, before=row)


def _cell(study: Study, texts: dict[str, str]) -> Cell:
    job = study.instruments.job
    table: dict[str, object] = {}
    for key, text in texts.items():
        name, dot, unit = key.partition(".")
        if dot:
            inner = table.setdefault(name, {})
            assert isinstance(inner, dict)
            inner[unit] = text
        else:
            table[name] = text
    found = posterior(study, parse_readings(table, job))
    # "Nothing wrong" is not a cause; the cell with healthy readings says it.
    ranked = [cause for cause in found.ranked() if study.instances[cause].name != "healthy"]
    few = next(
        (n for n in range(1, _NAMED) if found.any_of(ranked[:n]) >= LEADS), min(_NAMED, len(ranked))
    )
    # Beside a cause that leads alone, name the next one if likely enough.
    causes = ranked[: max(few, 2)]
    likely = tuple(Likely(study.instances[c].name, found.present(c)) for c in causes)
    return Cell("", likely, study.instruments.parts_present, found.any_of(causes))
