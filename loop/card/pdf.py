"""The card on one side of paper, to tape inside a locker."""

import io
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.platypus import Image

from loop.card.content import Card
from loop.card.faults_by_reading import Cell, Table, faults_by_reading
from loop.diagnose import NextReading, diagnose, display_name, parse_readings
from loop.diagnose.actions import available_actions
from loop.diagnose.as_built import as_built
from loop.diagnose.hypotheses import Study
from loop.sheet.faces import INK, PLAIN, SHADE, SOFT, drawable
from loop.sheet.paper import MARGIN, Paper
from loop.sheet.pdf import ONE_AT_A_TIME
from loop.sheet.setting import RULED, Setting
from loop.words.cautions import OPENS, OPENS_BRIEFLY, POWER, REFRIGERANT
from loop.words.service_card import SAY
from loop.words.template import capital
from loop.words.to_do import FIX, action_for

_STEPS, _AIR_OUT = 10, "bleed"
_ROW = 8 * mm
_QR = 20 * mm
_LONGEST_TITLE = 90
_TOOLS = "bucket, thermometer, display"
# Readings with a column in the log, and the text row of its heading.
_LOGGED = {
    "flow": "log-flow",
    "sea_temperature": "log-sea",
    "outlet_temperature": "log-outlet",
    "condensing_temperature": "log-condensing",
    "pump_outlet_pressure": "log-pump-outlet",
}
_ALWAYS = ("flow", "sea_temperature", "outlet_temperature")
_MOST_COLUMNS = 6


@dataclass(frozen=True)
class _Fit:
    """One way to set the page: type size [pt], blank log rows, whether steps explain how."""

    size: float
    rows: int
    how: bool


# Type is never under 9 pt; to fit the page, reduce size, then rows, then drop the explanations.
_FITS = (
    _Fit(10.0, 4, True), _Fit(9.5, 3, True), _Fit(9.0, 3, True), _Fit(9.0, 2, True),
    _Fit(9.0, 2, False), _Fit(9.0, 1, False),
)  # fmt: skip


def render(card: Card) -> bytes:
    """The PDF of a card: one side of Letter or A4, by the job's units."""
    paper = Paper(LETTER if card.study.instruments.job.units == "us" else A4, 1.0)
    table = faults_by_reading(card.study)
    todo = _steps(card, table)
    with ONE_AT_A_TIME:
        for fit in _FITS:
            story = list(_Story(card, fit, paper.width, table, todo).flowables())
            if paper.height_of(story, paper.width) <= paper.height:
                break
        about = {"title": f"{_title(card)}: service card", "creator": f"loop {card.version}"}
        return paper.write_one(story, _Foot(card), about)


def _title(card: Card) -> str:
    return (
        card.title if len(card.title) <= _LONGEST_TITLE else card.title[: _LONGEST_TITLE - 1] + "…"
    )


def _steps(card: Card, table: Table) -> tuple[NextReading, ...]:
    """The ten steps that settle most for their minutes and risk while nothing is known yet.

    Up to half are steps that the table points at most often; the bleed is always among these, since
    anything opened on a call lets air in.
    """
    job = card.study.instruments.job
    found = _of_each(card, diagnose(job, parse_readings({"tools": _TOOLS}, job), card.study).next)
    pointed = Counter(
        action
        for line in table.lines
        for cell in line.cells
        for action in looking(cell, card.study)
    )
    known = {one.reading for one in found}
    likeliest = (_AIR_OUT, *(name for name, _ in pointed.most_common()))
    wanted = [name for name in dict.fromkeys(likeliest) if name in known][: _STEPS // 2]
    others = [one.reading for one in found if one.reading not in wanted]
    kept = {*wanted, *others[: _STEPS - len(wanted)]}
    return tuple(one for one in found if one.reading in kept)


def _of_each(card: Card, steps: tuple[NextReading, ...]) -> list[NextReading]:
    """The steps, with a reading of one unit taken on all units, at its best position."""
    units, found = len(card.study.instruments.units), dict[str, NextReading]()
    for one in steps:
        base, dot, _ = one.reading.partition(".")
        if dot and base not in found:
            row = "paper-each-unit" if base == "unit" else "paper-each"
            title = SAY(row, reading=display_name(base))
            found[base] = replace(one, reading=base, title=title, minutes=one.minutes * units)
        elif not dot:
            found.setdefault(one.reading, one)
    return list(found.values())


def looking(cell: Cell, study: Study) -> list[str]:
    """The actions that fix or check a cell's first cause, or all causes that lead together."""
    if cell.right:
        return []
    causes = cell.causes if cell.lead_together else cell.causes[:1]
    faults = (fault for cause in causes for fault in cause.fault.split(" + "))
    found = (
        action_for(fault, study.instruments.parts_present) or _cure(fault, study)
        for fault in faults
    )
    return list(dict.fromkeys(name for name in found if name))


def _cure(fault: str, study: Study) -> str:
    """The action most likely to cure a fault; "" if none does more often than not."""
    cures = [
        (chance, action.name)
        for action in available_actions(study)
        for name, _, chance in action.effects
        if name == fault and chance > 0.5 and not action.name.startswith(FIX)
    ]
    return max(cures)[1] if cures else ""


class _Story:
    """The page's flowables in one setting."""

    def __init__(
        self, card: Card, fit: _Fit, width: float, table: Table, todo: tuple[NextReading, ...]
    ) -> None:
        self.card, self.fit, self.table, self.todo = card, fit, table, todo
        self.setting = Setting(fit.size, width)
        self.width = width
        self.number = {one.reading: place for place, one in enumerate(todo, 1)}

    def flowables(self) -> Iterator[Any]:
        """All flowables, from top to bottom."""
        yield self._head()
        isolate = (
            f"<b>{SAY('paper-isolate')}</b> {SAY('paper-off')} "
            f"<b>{self.card.study.instruments.parts_present.text(OPENS)}</b> {POWER} {REFRIGERANT}"
        )
        yield self.setting.table(
            [[self.setting.para(isolate, "cell")]], (1.0,), [("BOX", (0, 0), (-1, -1), 1.2, INK)]
        )
        yield self.setting.text(SAY("paper-steps"), "head")
        yield from self._ways()
        yield self.setting.text(SAY("paper-log"), "head")
        yield self._log()
        yield self.setting.text(SAY("paper-faults"), "head")
        yield self._faults()

    def _head(self) -> Any:
        words = [
            self.setting.text(_title(self.card), "title"),
            self.setting.para(escape(SAY("paper-about", boat=self._boat())), "cell"),
        ]
        if built := as_built(self.card.study):
            words.append(self.setting.para(f"<b>{escape(built)}.</b>", "cell"))
        code = Image(io.BytesIO(_qr(self.card)), _QR, _QR)
        share = _QR / self.width + 0.02
        return self.setting.table([[words, code]], (1 - share, share), [])

    def _boat(self) -> str:
        """How to get the card on a phone; for a boat without a job file, what is known of it."""
        if self.card.sheet:
            return SAY("paper-phone")
        return SAY("paper-known", known=", ".join(self.card.known) or SAY("paper-known-nothing"))

    def _ways(self) -> Iterator[Any]:
        for place, one in enumerate(self.todo, 1):
            way = one.how.removeprefix(one.hazard).strip()
            said = one.hazard if self.fit.how else one.hazard.replace(*self._opens)
            hazard = f" <b>{escape(said)}</b>" if said else ""
            how = f" {escape(capital(way))}." if self.fit.how else ""
            title = escape(capital(one.title))
            text = f"<b>{title}</b>, {SAY('paper-minutes', minutes=one.minutes)}{hazard}{how}"
            yield self.setting.item(text, f"{place}.")

    @property
    def _opens(self) -> tuple[str, str]:
        """The hazard of opening the line: in full, as in the box above the steps, and in brief."""
        has = self.card.study.instruments.parts_present
        return has.text(OPENS), has.text(OPENS_BRIEFLY)

    def _log(self) -> Any:
        bench = self.card.study.instruments
        columns = [
            (column.key, row.value)
            for column, row in zip(bench.columns, self.card.healthy, strict=True)
            if column.kind.name in _LOGGED and not column.key.startswith("flow.")
        ]
        # Every unit's outlet gets a column; other readings fill the columns that remain.
        always = [one for one in columns if one[0].partition(".")[0] in _ALWAYS]
        others = [one for one in columns if one not in always]
        columns = [*always, *others[: max(_MOST_COLUMNS - len(always), 0)]]
        heads = [SAY("log-date")]
        for key, _ in columns:
            name, _, unit = key.partition(".")
            heads.append(f"{SAY(_LOGGED[name])} {unit[:16]}".strip())
        healthy = (SAY("log-healthy"), *(value for _, value in columns))
        rows = [
            [self.setting.text(text, "cell") for text in heads],
            [self.setting.text(text, "cell") for text in healthy],
            *([""] * len(heads) for _ in range(self.fit.rows)),
        ]
        rules = [("GRID", (0, 0), (-1, -1), 0.5, INK), ("BACKGROUND", (0, 0), (-1, 1), SHADE)]
        made = self.setting.table(rows, [1 / len(heads)] * len(heads), rules)
        made._argH = [None, None, *([_ROW] * self.fit.rows)]
        return made

    def _faults(self) -> Any:
        heads = (self.table.measure, SAY("faults-rise"), *self.table.columns)
        rows = [[self.setting.para(f"<b>{escape(text)}</b>", "cell") for text in heads]]
        for line in self.table.lines:
            cells = [self.setting.text(text, "cell") for text in (line.flow, line.rise)]
            rows.append([*cells, *(self._cell(cell) for cell in line.cells)])
        return self.setting.table(rows, (0.1, 0.08, 0.27, 0.275, 0.275), RULED)

    def _cell(self, cell: Cell) -> Any:
        """The causes, and the numbers of the steps that check them, or else how to look."""
        looked = looking(cell, self.card.study)
        steps = sorted({self.number[one] for one in looked if one in self.number})
        row = "paper-step" if cell.leads else "paper-further"
        there = SAY(row, numbers=", ".join(map(str, steps))) if steps else cell.look
        to = f" <b>→\u00a0{escape(there)}</b>" if there else ""
        return self.setting.para(f"{escape(cell.text)}{to}", "cell")


class _Foot:
    """Draws the footer of the page: inputs and program version."""

    def __init__(self, card: Card) -> None:
        self.text = card.colophon

    def __call__(self, canvas: Any, document: Any) -> None:
        canvas.setFont(PLAIN, 9)
        canvas.setFillColor(SOFT)
        canvas.drawString(MARGIN, 7 * mm, drawable(self.text, PLAIN))


def _qr(card: Card) -> bytes:
    """The card's title and identity as a QR code, PNG."""
    import segno

    code = segno.make(f"seawater loop: {card.title[:60]}; {card.colophon}", error="m", micro=False)
    drawn = io.BytesIO()
    code.save(drawn, kind="png", scale=6, border=2)
    return drawn.getvalue()
