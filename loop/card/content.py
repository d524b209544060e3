"""Content of a card: the tables of a diagnosis, and the loop at a glance."""

import hashlib
import json
from dataclasses import dataclass
from typing import Any

from loop.card.profile import Drawing, drawing
from loop.card.tables import tables
from loop.diagnose import display_name, reading_text
from loop.diagnose.bayes import design_sea_temperature, expected_readings
from loop.diagnose.hypotheses import Study
from loop.diagnose.measured import Measured
from loop.diagnose.readings import SEA, Readings
from loop.sheet import Sheet
from loop.sheet.in_words import in_words
from loop.version import program_version
from loop.words.first_lines import first_lines
from loop.words.template import capital

_DIGEST = 12
# Half-width [K] for a sea temperature that is given rather than read.
_EXACT = 1e-3


@dataclass(frozen=True)
class Row:
    """A reading and its value on a healthy loop, as text."""

    name: str
    value: str


@dataclass(frozen=True)
class Card:
    """One card; ``sheet`` and ``drawing`` are None if there is no job file.

    ``tables`` are those of the script; ``identity`` tells one card's calls from another's.
    """

    study: Study
    title: str
    known: tuple[str, ...]
    sheet: Sheet | None
    drawing: Drawing | None
    healthy: tuple[Row, ...]
    cautions: tuple[str, ...]
    identity: str
    version: str
    tables: dict[str, Any]

    @property
    def colophon(self) -> str:
        """The program version and inputs that this card was made from."""
        return f"loop {self.version} · inputs {self.identity}"

    @property
    def shown(self) -> dict[str, Any]:
        """Everything the script works with: the tables, and what it shows of the card."""
        about = {"heading": self.title, "identity": self.identity, "colophon": self.colophon}
        return self.tables | about | {"checked": self._checked()}

    def _checked(self) -> list[str]:
        """Cause and fix of the gravest finding of `loop check`; none of a loop that has none."""
        result = self.sheet.result if self.sheet else None
        first = first_lines(result.findings, result.job) if result else None
        return [f"{capital(one)}." for one in (first.cause, first.fix) if one] if first else []


def card(study: Study, sheet: Sheet | None = None, known: tuple[str, ...] = ()) -> Card:
    """The card of a study, with its job's sheet if there is a job file.

    known : what is known of a boat without a job file, as text.
    """
    found = tables(study)
    return Card(
        study=study,
        title=study.instruments.job.title,
        known=known,
        sheet=sheet,
        drawing=drawing(sheet.result, in_words(sheet.result)) if sheet else None,
        healthy=_healthy(study),
        cautions=sheet.result.cautions if sheet else tuple(found["cautions"]),
        identity=_identity(found),
        version=program_version(),
        tables=found,
    )


def _identity(found: dict[str, Any]) -> str:
    """The start of a hash of everything the answers depend on."""
    text = json.dumps(found, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:_DIGEST]


def _healthy(study: Study) -> tuple[Row, ...]:
    """Every reading of a healthy loop, at the job's own sea temperature."""
    at = design_sea_temperature(study)
    sea = Readings({SEA: Measured(at, _EXACT, "")})
    values = expected_readings(study, sea)[study.healthy]
    return tuple(
        Row(
            display_name(column.key),
            reading_text(column.key, float(value), study.instruments.job.units),
        )
        for column, value in zip(study.instruments.columns, values, strict=True)
    )
