"""What an engineer sees in a notebook: tables, JSON and a picture of every answer."""

import json
from collections.abc import Callable
from html import escape, unescape
from typing import Any

import pytest

import loop
from loop.answers import Answer
from loop.diagnose.headline import odds_text
from tests.command_line import EXAMPLES, KITTIWAKE
from tests.command_line import loop as run

JOB = loop.read_job(KITTIWAKE)
MAKERS: dict[str, Callable[[], Any]] = {
    "check": lambda: loop.check(JOB),
    "check of four units": lambda: loop.check(loop.read_job(EXAMPLES / "dabchick.toml")),
    "solve": lambda: loop.solve(JOB),
    "size": lambda: loop.size(
        JOB.replace({"sizing.bores": ["3/4 in", "1 in"], "sizing.pumps": ["demo-ac-350"]}), draws=5
    ),
    "diagnose": lambda: loop.diagnose(
        JOB, loop.read_readings(EXAMPLES / "readings-strainer.toml", JOB)
    ),
    "explain": lambda: loop.explain(JOB),
    "sweep": lambda: loop.sweep(JOB, {"part[8].length": ["8 ft", "12 ft"]}),
    "boats": lambda: loop.boats(JOB, 5),
}


@pytest.mark.parametrize("name", MAKERS)
def test_every_answer_is_tables_json_and_html(name: str) -> None:
    answer = MAKERS[name]()
    assert isinstance(answer, Answer)
    assert json.loads(answer.to_json()) == json.loads(json.dumps(answer.to_dict()))
    page = answer._repr_html_()
    assert page.count("<table>") == page.count("</table>")
    assert "<script" not in page


def test_a_job_is_shown_as_its_file() -> None:
    job = JOB.replace({"part[3].label": "<b>hose"})
    shown = job._repr_html_()
    assert "<b>" not in shown
    assert loop.parse_toml(unescape(shown).removeprefix("<pre>").removesuffix("</pre>")) == job


def test_a_check_is_what_the_command_prints() -> None:
    printed = json.loads(run("check", KITTIWAKE, "--json").stdout)
    assert json.loads(loop.check(JOB).to_json()) == printed


def test_an_explanation_holds_every_step_and_shows_the_first_page() -> None:
    whole = loop.explain(JOB)
    tables = whole.to_dict()
    assert tables["verdict"] == whole.result.verdict
    assert [step["number"] for step in tables["steps"]] == [s.number for s in whole.steps]
    for table, step in zip(tables["steps"], whole.steps, strict=True):
        assert [line["value"] for line in table["lines"]] == [ln.exact for ln in step.lines]
        assert table["rests_on"] == list(step.rests_on)
    page = whole._repr_html_()
    assert all(escape(step.title) in page for step in whole.page(1))
    assert page.count("<tr>") == 1 + len(whole.page(1))
    printed = json.loads(run("explain", KITTIWAKE, "--json").stdout)
    assert printed == json.loads(whole.to_json())


def test_a_check_is_shown_with_its_verdict_and_its_profile() -> None:
    job = JOB.replace({"title": 'A "quoted" <b>boat</b>', "part[4].blocked": "80 %"})
    page = loop.check(job)._repr_html_()
    assert "<b>BAD</b>" in page
    assert "&lt;b&gt;boat&lt;/b&gt;" in page
    assert 'src="data:image/svg+xml;base64,' in page


def test_the_picture_takes_no_library_until_it_is_asked_for() -> None:
    from tests.command_line import python

    program = f"import loop, sys; loop.check(loop.read_job({str(KITTIWAKE)!r})); " + (
        "print('matplotlib' in sys.modules)"
    )
    assert python(program) == "False\n"


def test_a_diagnosis_has_the_odds_that_the_terminal_has() -> None:
    """The chance of each fault, alone or with another, not of the fault and nothing else."""
    found = loop.diagnose(JOB, {"flow": "109 gal/h", "pump_outlet_pressure": "1.5 psi"})
    first = found.causes[:4]
    assert all(round(100 * c.present) != round(100 * c.probability) for c in first[:2])
    said = [odds_text(cause.present) for cause in first]
    rows = found._repr_html_().split("<tr>")[2:]
    printed = run(
        "diagnose", KITTIWAKE, "-r", "flow=109 gal/h", "-r", "pump_outlet_pressure=1.5 psi"
    ).stdout
    words = " ".join(printed.split())
    for row, cause, chance in zip(rows, first, said, strict=False):
        assert row.startswith(f"<td>{chance}</td><td>{escape(cause.title)}</td>")
        assert f"{cause.title} ({cause.where}): {chance}" in words
    top = ", ".join(f"{cause.fault} {cause.present:.0%}" for cause in first[:3])
    assert repr(found).startswith(f"Diagnosis({top}")
