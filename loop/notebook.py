"""HTML views of answers for notebooks: the picture and the verdict."""

import base64
from collections.abc import Iterable
from functools import singledispatch
from html import escape

from loop.answers import Answer
from loop.check import CheckResult
from loop.diagnose import Diagnosis
from loop.diagnose.headline import odds_text
from loop.draw import draw, to_bytes
from loop.hydraulics import OperatingPoint
from loop.job import JobError
from loop.size import SizeResult
from loop.teach.explanation import Explanation
from loop.units import show
from loop.words import told
from loop.words.check_report import SAY as SAY_CHECK
from loop.words.diagnosis import SAY as SAY_DIAGNOSIS
from loop.words.first_lines import all_well, first_lines
from loop.words.notebook import SAY
from loop.words.template import capital

_SHOWN = 12


@singledispatch
def shown(answer: Answer) -> str:
    """HTML of an answer: a picture if it has one, its first line, a table."""
    return f"<pre>{escape(repr(answer))}</pre>"


@shown.register
def _(answer: CheckResult) -> str:
    job, units = answer.job, answer.job.units
    findings = [
        f"<li><b>{escape(one.level)}</b> {escape(capital(one.message))}. "
        f"<b>{SAY('fix')}</b> {escape(capital(one.fix))}.</li>"
        for one in told(answer.findings, job)
    ]
    rows = [
        (
            unit.name,
            show(unit.flow, "flow", units),
            f"{show(unit.flow_low, 'flow', units)} to {show(unit.flow_high, 'flow', units)}",
            show(unit.needed_flow, "flow", units),
            show(unit.condensing_temperature, "temperature", units)
            if unit.runs_on
            else SAY("trips"),
        )
        for unit in answer.condensers
    ]
    return (
        f"<p><b>{escape(answer.verdict.upper())}</b> {escape(job.title)}</p>"
        f"{_table('units', rows)}{_list(findings)}{_picture(answer, 'profile')}"
    )


@shown.register
def _(answer: OperatingPoint) -> str:
    units = answer.network.job.units
    rows = [
        (
            SAY_CHECK("parts-film", part=one.label) if one.film else one.label,
            show(one.height, "height", units),
            show(one.flow, "flow", units),
            show(one.head_loss, "head", units),
            show(one.gauge_pressure, "pressure", units),
        )
        for one in answer.stations
    ]
    note = SAY_CHECK("parts-film-note") if any(one.film for one in answer.stations) else ""
    return _table("stations", rows) + note


@shown.register
def _(answer: SizeResult) -> str:
    units = answer.job.units
    rows = [
        (
            str(option.rank),
            option.choice.pump.name,
            show(option.choice.suction_bore, "bore", units),
            show(option.choice.pressure_bore, "bore", units),
            show(option.flow, "flow", units),
            show(option.chance, "ratio", units),
            SAY("passes") if option.passes else "; ".join(option.said),
        )
        for option in answer.options[:_SHOWN]
    ]
    return _table("options", rows) + _picture(answer, "sizes")


@shown.register
def _(answer: Diagnosis) -> str:
    rows = [
        (odds_text(cause.present), cause.title, cause.where, capital(cause.fix))
        for cause in answer.causes[:_SHOWN]
    ]
    rest = SAY_DIAGNOSIS("cause-unknown", odds=odds_text(answer.unknown))
    head = f"<p><b>{escape(answer.headline)}</b></p>" if answer.headline else ""
    return f"{head}{_table('causes', rows)}<p>{escape(rest)}</p>"


@shown.register
def _(answer: Explanation) -> str:
    found = first_lines(answer.result.findings, answer.result.job)
    cause = (
        capital(found.cause) + "." if found else all_well(answer.result.findings, answer.result.job)
    )
    head = f"<p><b>{escape(answer.result.verdict.upper())}</b> {escape(cause)}</p>"
    rows = [
        (
            str(step.number),
            step.title,
            "; ".join(f"{line.equation.symbol} = {line.answer}" for line in step.lines),
            step.meaning,
        )
        for step in answer.page(1)
    ]
    return head + _table("steps", rows)


def _table(head: str, rows: Iterable[Iterable[str]]) -> str:
    """A table with its titles from this row of `SAY`, one per line."""
    titles = "".join(f"<th>{escape(cell)}</th>" for cell in SAY(head).split("\n"))
    body = "".join(
        "<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows
    )
    return f"<table><thead><tr>{titles}</tr></thead><tbody>{body}</tbody></table>"


def _list(items: list[str]) -> str:
    return f"<ul>{''.join(items)}</ul>" if items else ""


def _picture(answer: CheckResult | SizeResult, figure: str) -> str:
    """The figure embedded in the page; empty if the loop has nothing to draw in it."""
    try:
        data = base64.b64encode(to_bytes(draw(answer, figure), "svg")).decode()
    except JobError:
        return ""
    title = escape(answer.job.title, quote=True)
    return f'<img alt="{figure} of {title}" src="data:image/svg+xml;base64,{data}">'
