"""Readings with a half-width that no instrument has, and dates that do not exist."""

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from loop.cli import app
from loop.diagnose import baseline, drift, parse_readings
from loop.diagnose.drift import VisitFlow
from loop.diagnose.reading_kinds import KINDS
from loop.job import Fitted, Job, JobError, parse_job, read_job, read_toml
from loop.units import UnitError, parse_measured

EXAMPLES = Path(__file__).parent.parent / "examples"
BROKEN = Path(__file__).parent / "broken"
JOB = EXAMPLES / "kittiwake.toml"


@pytest.fixture(scope="module")
def job() -> Job:
    return read_job(JOB)


def run(*words: str) -> Result:
    return CliRunner().invoke(app, [str(word) for word in words])


ODD = ["1e400", "1e300", "1e-200", "5e-324", "9" * 400, "9" * 400 + "/7", "0", "1e-5", "1000"]


@pytest.mark.parametrize("width", ODD)
@pytest.mark.parametrize("command", ["diagnose", "baseline"])
def test_a_half_width_that_is_none_is_refused(
    width: str, command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    words = [command, str(JOB), "-r", "flow=150 gal/h", "-r", f"sea_temperature=68 degF ± {width}"]
    done = run(*words, *(["-o", "out.toml"] if command == "baseline" else []))
    assert done.exit_code == 2
    assert done.stderr.startswith("--reading: sea_temperature: ")
    assert len(done.stderr.splitlines()) == 1
    assert not Path("out.toml").exists()


@pytest.mark.parametrize("text", ["1 gal in 24 s ± 1e300", "1 gal ± 5e-324 in 24 s ± 1e-200"])
def test_a_bucket_with_odd_edges_is_refused(job: Job, text: str) -> None:
    with pytest.raises(JobError, match="half-width"):
        parse_readings({"bucket": text}, job)


@pytest.mark.parametrize("kind", [kind for kind in KINDS.values() if kind.kind], ids=str)
def test_both_edges_of_the_half_widths_that_are_accepted(kind: object) -> None:
    from loop.diagnose.reading_kinds import ReadingKind

    assert isinstance(kind, ReadingKind)
    value = min(kind.high, 200.0) / 2
    usual = kind.half_width(value)
    for width in (usual / 999, usual, usual * 99):
        kind.accept(value, width, "as read")
    for width in (usual / 1001, usual * 101, float("inf"), float("nan"), 0.0):
        with pytest.raises(UnitError, match="'as read'"):
            kind.accept(value, width, "as read")


def test_the_finest_readings_that_are_accepted_make_a_baseline(job: Job) -> None:
    """Its factors read back from the file, down to the smallest spread."""
    texts = {"flow": "200 gal/h ± 0.013", "sea_temperature": "70 degF ± 0.0016"}
    texts |= {"outlet_temperature": "80 degF ± 0.0016", "shutoff_pressure": "4.9 psi ± 0.0004"}
    fitted = baseline(job, parse_readings(texts, job), "2025-05-01").job.fitted
    assert fitted.spread is not None
    assert min(fitted.spread) > 0


@pytest.mark.parametrize("text", ["9" * 400 + " m", "1 m ± " + "9" * 400, "1e400 m", "1 m ± 1e400"])
def test_numbers_without_measure_are_refused(text: str) -> None:
    with pytest.raises(UnitError):
        parse_measured(text, "length")


WRONG_DAYS = ["2025-99-99", "2025-02-29", "0001-01-01", "9999-12-31", "20250101", "today", ""]


@pytest.mark.parametrize("day", WRONG_DAYS)
def test_a_day_of_no_calendar_is_told_when_the_file_is_read(job: Job, day: str) -> None:
    tables = read_toml(JOB)
    with pytest.raises(JobError, match="visit 1 date: "):
        parse_job({**tables, "visit": [{"date": day}]}, "job")
    with pytest.raises(JobError, match="date: "):
        parse_readings({"flow": "200 gal/h", "date": day}, job)
    if day:
        with pytest.raises(JobError, match="fitted date: "):
            parse_job({**tables, "fitted": {"date": day}}, "job")
        with pytest.raises(JobError, match="date: "):
            baseline(job, parse_readings({"flow": "200 gal/h"}, job), day)


@pytest.mark.parametrize(
    "words", [["check"], ["diagnose", "--drift"], ["draw", "--figure", "drift"]]
)
def test_every_command_refuses_a_visit_of_the_year_one(words: list[str], tmp_path: Path) -> None:
    output = ["-o", str(tmp_path / "drift.svg")] if words[0] == "draw" else []
    done = run(words[0], BROKEN / "drift-date.toml", *words[1:], *output)
    assert done.exit_code == 2
    assert done.stderr.endswith("visit 1 date: '0001-01-01' is not in the years 1900 to 2199\n")


def visited(days: list[str], texts: list[dict[str, str]]) -> Job:
    visits = [{"date": day, "readings": text} for day, text in zip(days, texts, strict=True)]
    return parse_job({**read_toml(JOB), "visit": visits})


def test_visits_fitted_together_are_as_each_by_itself() -> None:
    """Whatever was read on the others: flows, temperatures, pressures, or nothing."""
    texts = [
        {"flow": "210 gal/h", "sea_temperature": "70 degF"},
        {"flow": "150 gal/h ± 3", "outlet_temperature": "88 degF"},
        {"pump_inlet_pressure": "-1.2 psi", "pump_outlet_pressure": "3.4 psi"},
        {},
        {"bucket": "1 gal in 30 s", "supply": "112 V"},
    ] * 5
    days = [f"{1900 + 12 * number}-03-01" for number in range(len(texts))]

    def close(one: VisitFlow, other: VisitFlow) -> bool:
        numbers = [(one.flow, other.flow), (one.flow_low, other.flow_low), (one.loss, other.loss)]
        return all(a == pytest.approx(b, rel=1e-6) for a, b in numbers)

    together = drift(visited(days, texts)).visits
    for number, found in enumerate(together):
        (alone,) = drift(visited(days[number : number + 1], texts[number : number + 1])).visits
        assert close(found, alone)


@pytest.mark.parametrize("factor", [1e-300, 1e-9, 0.049, 20.5, 1e300])
def test_a_fitted_factor_that_no_loop_has_is_refused(factor: float) -> None:
    with pytest.raises(JobError, match=r"fitted loss: .* is out of range"):
        parse_job({**read_toml(JOB), "fitted": {"loss": factor}}, "job")


@pytest.mark.parametrize("flow", ["0.5 gal/h ± 0.01", "30000 gal/h ± 10", "0 gal/h"])
def test_a_baseline_of_readings_far_from_the_design_is_one_that_reads_back(
    job: Job, flow: str
) -> None:
    readings = parse_readings({"flow": flow, "shutoff_pressure": "4.9 psi ± 0.01"}, job)
    found = baseline(job, readings, "2025-05-01")
    assert found.notes
    assert Fitted.model_validate(found.job.fitted.model_dump()) == found.job.fitted
