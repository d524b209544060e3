"""The commissioning record, the visits kept in the job file, and their trend."""

import json
import os
import re
import tomllib
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from loop.cli import app
from loop.diagnose import baseline, drift, drift_json, parse_readings, prepare, simulate
from loop.diagnose.instruments import instruments
from loop.diagnose.measured import Measured
from loop.diagnose.model_change import ModelChange
from loop.diagnose.predict import predict
from loop.diagnose.readings import Readings
from loop.diagnose.record import with_record
from loop.diagnose.solved_loops import states
from loop.diagnose.uncertainty import INDEX, NAMES
from loop.job import Fitted, Job, JobError, Visit, parse_job, parse_toml, read_job, read_toml
from loop.units import parse
from loop.words.diagnosis import SAY
from tests.said import is_said

EXAMPLES = Path(__file__).parent.parent / "examples"
BROKEN = Path(__file__).parent / "broken"
JOB, CLEAN = EXAMPLES / "kittiwake.toml", EXAMPLES / "readings-clean.toml"


@pytest.fixture(scope="module")
def job() -> Job:
    return read_job(JOB)


def exact_readings(job: Job, width: float, **log_factors: float) -> Readings:
    """Readings of a boat with these factors, on instruments with this share of the usual error."""
    place = instruments(job)
    doubts = np.zeros((1, len(NAMES)))
    for name, value in log_factors.items():
        doubts[0, INDEX[name]] = value
    values = predict(place, states(place, [ModelChange()], doubts))[0]
    return Readings(
        {
            column.key: Measured(float(v), width * column.kind.half_width(float(v)), "made up")
            for column, v in zip(place.columns, values, strict=True)
        },
        date="2025-05-01",
    )


def test_good_instruments_find_the_boats_own_factors(job):
    truth = {"loss": 0.2, "pump": -0.03, "ua": -0.15}
    fitted = baseline(job, exact_readings(job, 0.05, **truth)).job.fitted
    assert fitted.loss == pytest.approx(np.exp(0.2), rel=0.04)
    assert fitted.pump == pytest.approx(np.exp(-0.03), rel=0.015)
    assert fitted.ua == pytest.approx(np.exp(-0.15), rel=0.05)


def test_poor_instruments_leave_the_design_alone(job):
    fitted = baseline(job, exact_readings(job, 50.0, loss=0.2, ua=-0.15)).job.fitted
    assert fitted.loss == pytest.approx(1, abs=0.03)
    assert fitted.ua == pytest.approx(1, abs=0.03)
    assert fitted.spread is not None
    assert fitted.spread[0] > 0.15


def test_the_fit_is_within_its_own_spread_of_the_truth(job):
    """Over many boats, fitted minus true scatters as the stated spread says."""
    rng, away = np.random.default_rng(8), []
    for _ in range(24):
        log_loss = rng.normal(0, 0.12)
        true = exact_readings(job, 1.0, loss=log_loss)
        numbers = {
            key: Measured(m.value + rng.normal(0, m.half_width / 2), m.half_width, m.text)
            for key, m in true.numbers.items()
        }
        fitted = baseline(job, Readings(numbers, date="2025-05-01")).job.fitted
        assert fitted.spread is not None
        away.append((np.log(fitted.loss) - log_loss) / fitted.spread[0])
    # The sections' own uncertainty, absent here, makes the stated spread a bit wide. For 24 draws
    # the standard error is 1/7 of a deviation, and of their mean 1/5: three of each.
    assert 0.45 < np.std(away) < 1.4  # and a spread of half or twice as much is seen
    assert abs(np.mean(away)) < 0.6


def test_a_baseline_narrows_what_is_expected(job):
    after = baseline(job, parse_readings(read_toml(CLEAN), job)).job
    flow = instruments(job).column_of["flow"]

    def spread(one: Job) -> float:
        study = prepare(one)
        row = study.healthy
        return float((study.factor[row, flow] ** 2).sum())

    assert spread(after) < 0.6 * spread(job)


def test_a_fitted_job_expects_what_was_read(job):
    result = baseline(job, exact_readings(job, 0.3, loss=0.15))
    study = prepare(result.job)
    flow = instruments(job).column_of["flow"]
    read = result.readings.numbers["flow"].value
    assert study.mean[study.healthy, flow] == pytest.approx(read, rel=0.02)
    assert result.fitted["flow"] == pytest.approx(read, rel=0.02)


def test_what_is_no_baseline_is_refused(job):
    def refused(data: dict[str, str]) -> str:
        with pytest.raises(JobError) as caught:
            baseline(job, parse_readings(data, job))
        return str(caught.value)

    assert refused({"sea_temperature": "70 degF"}) == SAY("baseline-needs")
    dirty = refused({"flow": "200 gal/h", "strainer_seen": "dirty"})
    assert dirty == SAY("baseline-dirty")
    assert refused({"flow": "200 gal/h", "stream": "sputtering"}) == SAY("baseline-stream")
    with pytest.raises(JobError, match="2025-02-30"):
        baseline(job, parse_readings({"flow": "200 gal/h"}, job), "2025-02-30")


def test_the_record_leaves_the_rest_of_the_file_alone():
    text = JOB.read_text(encoding="utf-8").replace("[water]", "# measured\n[water]")
    visit = Visit(date="2025-05-01", note='said "fine"\\', readings={"flow": "1 gal in 16 s"})
    once = with_record(text, visit, Fitted(loss=1.1))
    assert once.startswith(text.rstrip())
    twice = with_record(once, visit.model_copy(update={"date": "2025-06-01"}), Fitted(loss=1.2))
    assert twice.count("[fitted]") == 1
    assert "# measured" in twice
    again = parse_job(tomllib.loads(twice))
    assert again.fitted.loss == 1.2
    assert [v.date for v in again.visit] == ["2025-05-01", "2025-06-01"]
    assert again.visit[0] == visit
    with pytest.raises(JobError, match=re.escape(SAY("wrong-visits"))):
        with_record('visit = [{ date = "2025-04-01" }]\ntitle = "x"\n', visit, Fitted())


def test_a_date_need_not_be_in_quotes() -> None:
    visit = "[[visit]]\ndate = 2025-05-01\n[fitted]\nloss = 1.1\ndate = 2025-05-02\n"
    job = parse_toml(JOB.read_text(encoding="utf-8") + visit)
    assert (job.visit[-1].date, job.fitted.date) == ("2025-05-01", "2025-05-02")
    with pytest.raises(JobError, match="2225-05-01"):
        parse_toml(JOB.read_text(encoding="utf-8") + visit.replace("2025", "2225"))


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_a_baseline_after_another_keeps_every_line_but_the_factors(
    ends: str, mark: str, tmp_path: Path
) -> None:
    """Including comments, line endings and the byte-order mark."""
    before = mark + (BROKEN / "baseline-comment-loss.toml").read_text().replace("\n", ends)
    once, twice = tmp_path / "once.toml", tmp_path / "twice.toml"
    once.write_bytes(before.encode())
    for source, target in ((once, twice), (twice, twice)):
        words = ["baseline", str(source), "--reading", "flow=200 gal/h", "-o", str(target)]
        done = CliRunner().invoke(app, words)
        assert done.exit_code == 0, done.output
    after = twice.read_bytes().decode()
    kept = [line for line in before.rstrip().split(ends) if not line.startswith("loss = ")]
    lines = iter(after.split(ends))
    assert all(any(line == other for other in lines) for line in kept)
    assert after.startswith(mark)
    assert after.count("\r") == (after.count("\n") if ends == "\r\n" else 0)
    assert len(read_job(twice).visit) == 1
    table = after.split("[fitted]")[1].split()
    assert table[0] == "loss"


def test_the_same_day_and_readings_are_one_visit() -> None:
    """Its note stays; another day, or other readings, make another visit."""
    text = '[water]\n# first\n[[visit]]\ndate = 2025-06-01 # dry\nwas = "pump-worn"\n'
    text += '[visit.readings]\nflow = "200 gal/h" # twice\n\n# the last\n[boat]\n'
    visit = Visit(date="2025-06-01", note="baseline", readings={"flow": "200 gal/h"})
    once = with_record(text, visit, Fitted(loss=1.1))
    assert with_record(once, visit, Fitted(loss=1.1)) == once
    assert once.count("#") == text.count("#")
    [kept] = tomllib.loads(once)["visit"]
    assert (kept["note"], kept["was"], str(kept["date"])) == ("baseline", "pump-worn", visit.date)
    for change in ({"date": "2025-06-02"}, {"readings": {"flow": "201 gal/h"}}):
        assert len(tomllib.loads(with_record(once, visit.model_copy(update=change)))["visit"]) == 2


def test_a_job_has_a_baseline_of_the_same_day_and_readings_once(job: Job) -> None:
    readings = parse_readings({"flow": "200 gal/h"}, job)
    once = baseline(job, readings, "2025-06-01").job
    assert len(baseline(once, readings, "2025-06-01").job.visit) == 1
    assert len(baseline(once, readings, "2025-06-02").job.visit) == 2


@pytest.mark.parametrize(
    "text",
    [
        "[fitted] # by hand\nloss = 1.1 # guess\n\n# of the sea\n[water]\n",
        "fitted = { loss = 1.1 } # by hand\n[water]\n",
        "fitted.loss = 1.1 # by hand\n[water] # of the sea\n",
        "['fitted']\nloss = 1.1 # by hand\n",
        "# none yet\n[water]\n# the end",
    ],
)
def test_factors_are_replaced_however_they_are_written(text: str) -> None:
    """Comments stay, and the file reads as before except for the new factors."""
    fitted = Fitted(loss=1.2, spread=(0.1, 0.2, 0.3), date="2025-05-01")
    visit = Visit(date="2025-05-01", readings={"flow": "200 gal/h"})
    after = with_record(text, visit, fitted)
    assert after.count("#") == text.count("#")
    found = tomllib.loads(after)
    assert Fitted(**found.pop("fitted")) == fitted
    assert len(found.pop("visit")) == 1
    assert found == {k: v for k, v in tomllib.loads(text).items() if k != "fitted"}


def falling(job: Job, *flows: tuple[str, float]) -> Job:
    visits = tuple(
        Visit(date=day, readings={"flow": f"{flow} gal/h ± 4", "sea_temperature": "75 degF"})
        for day, flow in flows
    )
    return job.model_copy(update={"visit": visits})


def test_drift_finds_the_day_on_a_straight_line(job):
    """220 gal/h falling by 10 per 30-day month reaches the need of 180 after 120 days."""
    found = drift(
        falling(
            job, ("2025-01-01", 220), ("2025-01-31", 210), ("2025-03-02", 200), ("2025-04-01", 190)
        )
    )
    assert found.need == pytest.approx(parse("180 gal/h", "flow"))
    crosses = date.fromisoformat(found.crosses)
    assert abs((crosses - date(2025, 5, 1)).days) <= 4
    assert found.crosses_low < found.crosses < found.crosses_high
    assert found.slope_low < found.slope < found.slope_high < 0
    for visit, flow in zip(found.visits, (220, 210, 200, 190), strict=True):
        assert visit.flow == pytest.approx(parse(f"{flow} gal/h", "flow"), rel=0.02)
    assert [v.loss for v in found.visits] == sorted(v.loss for v in found.visits)
    assert found.crosses in found.sentence("us")


def test_no_trend_no_date(job):
    steady = drift(falling(job, ("2025-01-01", 200), ("2025-02-01", 204), ("2025-03-01", 208)))
    assert steady.crosses == ""
    assert steady.sentence("us").endswith(SAY("drift-never"))
    one = drift(falling(job, ("2025-01-01", 200)))
    assert drift_json(one, job)["slope"] is None
    assert is_said(one.sentence("us"), SAY, "drift-one-day")
    assert drift(job).visits == ()


def test_drift_starts_at_the_last_baseline(job):
    dirty = falling(job, ("2025-01-01", 150), ("2025-02-01", 230), ("2025-03-01", 225))
    clean = dirty.model_copy(update={"fitted": Fitted(date="2025-02-01")})
    assert [v.date for v in drift(clean).visits] == ["2025-02-01", "2025-03-01"]


def test_a_visit_with_rubbish_names_itself(job):
    wrong = job.model_copy(update={"visit": (Visit(date="2025-01-01", readings={"flow": "9"}),)})
    with pytest.raises(JobError, match="visit of 2025-01-01: flow"):
        drift(wrong)


def run(command: str, *words: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, [command, *map(str, words)])
    assert not isinstance(result.exception, Exception) or isinstance(result.exception, SystemExit)
    return result.exit_code, result.stdout, result.stderr


def test_from_baseline_to_drift_by_command(tmp_path):
    fitted, later = tmp_path / "fitted.toml", tmp_path / "later.toml"
    code, out, _ = run("baseline", JOB, CLEAN, "-o", fitted)
    assert code == 0
    assert read_job(fitted).fitted.date == "2025-05-02"
    code, out, _ = run(
        "diagnose", fitted, "-r", "flow=190 gal/h", "--record", later, "--date", "2025-07-01"
    )
    assert code == 0
    assert [v.date for v in read_job(later).visit] == ["2025-05-02", "2025-07-01"]
    code, out, _ = run("diagnose", later, "--drift", "--json")
    assert code == 0
    json_drift = json.loads(out)
    assert json_drift["crosses"].startswith("2025-")
    code, out, _ = run("diagnose", later, "--drift")
    assert json_drift["crosses"] in out
    assert sorted(os.listdir(tmp_path)) == ["fitted.toml", "later.toml"]


def test_baseline_json_by_command(tmp_path):
    code, out, _ = run("baseline", JOB, CLEAN, "-o", tmp_path / "j.toml", "--json")
    assert code == 0
    data = json.loads(out)
    assert data["flow_low"] < data["flow"] < data["flow_high"]
    assert data["fitted"]["loss"] > 0


def test_bad_input_writes_nothing(tmp_path):
    code, _, err = run("baseline", JOB, "-r", "flow=9 psi", "-o", tmp_path / "j.toml")
    assert code == 2
    assert "flow" in err
    assert os.listdir(tmp_path) == []


def test_simulated_boats_are_judged_better_after_a_baseline(job):
    """Such a boat looks wrong against the design, but right against its own baseline."""
    boat = baseline(job, exact_readings(job, 0.3, loss=0.28, ua=-0.2)).job
    readings = simulate(boat, "healthy", 0.0, np.random.default_rng(4)).only(
        ("flow", "sea_temperature", "condensing_temperature", "pump_outlet_pressure")
    )

    def odds(one: Job) -> float:
        """Probability that nothing is wrong."""
        from loop.diagnose import diagnose

        causes = {c.fault: c.probability for c in diagnose(one, readings).causes}
        healthy = causes.get("healthy", 0.0)
        return healthy / (1 - healthy)

    assert odds(boat) > 1.5 * odds(job)
