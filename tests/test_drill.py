"""The drill: a hidden fault from a seed, readings that cost minutes, a fair score, a replay."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from loop.check import check
from loop.cli import app
from loop.diagnose import BY_NAME, diagnose
from loop.job import Job, JobError, parse_job
from loop.teach.cases import Level, candidates, draw_case, invented_job
from loop.teach.drill import Drill, Outcome
from loop.teach.drill_log import DrillLog, Source, log_text, read_log
from loop.teach.quiz import AnswerError
from tests.loops import changed, plain_loop

JOB = invented_job()
# A seed whose fault on the first level is a blocked strainer; the test below holds it so.
STRAINER = next(seed for seed in range(100) if draw_case(JOB, seed, 1).fault == "strainer-blocked")


@pytest.fixture(scope="module")
def strainer() -> Drill:
    return Drill(JOB, STRAINER, 1)


def run(*words: str, typed: str = "") -> Result:
    return CliRunner().invoke(app, ["drill", *words], input=typed)


def test_the_drills_own_loop_has_nothing_wrong() -> None:
    result = check(JOB)
    assert not [f for f in result.findings if f.level == "danger"]
    assert all(unit.flow_low >= unit.needed_flow for unit in result.condensers)


@pytest.mark.parametrize("level", [1, 2, 3])
def test_one_seed_hides_one_fault(level: int) -> None:
    for seed in range(8):
        case = draw_case(JOB, seed, level)
        assert case == draw_case(JOB, seed, level)
        assert case.fault in candidates(JOB, level)
        for fault, severity in zip(case.fault.split(" + "), case.severity, strict=True):
            assert BY_NAME[fault].low <= severity <= BY_NAME[fault].high


def test_seeds_hide_different_faults_and_the_last_level_pairs() -> None:
    assert len({draw_case(JOB, seed, 1).fault for seed in range(20)}) >= 5
    assert any("+" in draw_case(JOB, seed, 3).fault for seed in range(20))
    assert not any("+" in draw_case(JOB, seed, 2).fault for seed in range(10))


def test_a_branch_fault_is_not_offered_where_there_are_no_branches() -> None:
    assert "branch-valve-shut" not in candidates(JOB, 2)


def test_a_loop_without_water_is_no_drill() -> None:
    shut = parse_job(changed((2, "open", "0 %")))
    with pytest.raises(JobError, match="gets no water even with nothing wrong"):
        Drill(shut, 1, 1)


def test_the_complaint_is_no_diagnosis(strainer: Drill) -> None:
    said = strainer.complaint.lower()
    assert not any(word in said for fault in BY_NAME for word in fault.split("-") if len(word) > 5)


def test_a_dry_boat_is_complained_of_as_dry() -> None:
    dry = next(
        drill
        for drill in (Drill(JOB, seed, 1) for seed in range(60))
        if drill.case.readings.words["stream"] == "none"
    )
    assert "water" in dry.complaint or "Nothing comes out" in dry.complaint


def test_the_right_fault_on_an_experts_readings_scores_in_full(strainer: Drill) -> None:
    expert = [look.key for look in strainer.finish((), "").expert]
    outcome = strainer.finish(expert, "strainer-blocked")
    assert outcome.points == 100
    assert outcome.minutes == outcome.expert_minutes == strainer.minutes(expert)


def test_more_minutes_never_score_more(strainer: Drill) -> None:
    expert = [look.key for look in strainer.finish((), "").expert]
    rest = [key for key in strainer.case.keys if key not in expert]
    points = [
        strainer.finish([*expert, *rest[:count]], "strainer-blocked").points
        for count in range(0, len(rest), 3)
    ]
    assert points == sorted(points, reverse=True)
    assert 70 <= points[-1] < points[0]


@pytest.mark.parametrize("answer", ["pump-worn", "not-water-side", ""])
def test_a_wrong_answer_or_none_scores_nothing(strainer: Drill, answer: str) -> None:
    outcome = strainer.finish(["flow", "strainer_drop"], answer)
    assert outcome.points == 0


def test_a_lucky_guess_scores_less_than_a_finding(strainer: Drill) -> None:
    lucky = strainer.finish((), "strainer-blocked")
    assert "luck" in lucky.verdict
    assert 0 < lucky.points < 70


def test_one_of_two_faults_is_half_right() -> None:
    pair = next(
        drill
        for drill in (Drill(JOB, seed, 3) for seed in range(60))
        if "+" in drill.case.fault
        and not set(drill.case.fault.split(" + ")) & set(drill.finish((), "").same_as)
    )
    outcome = pair.finish(pair.case.keys, pair.case.fault.split(" + ")[0])
    assert outcome.verdict.startswith("Half right")
    assert outcome.points == 35


def test_the_expert_takes_what_the_diagnosis_ranks_first(strainer: Drill) -> None:
    outcome = strainer.finish((), "")
    taken: list[str] = []
    for look in outcome.expert:
        steps = diagnose(JOB, strainer.case.readings.only(taken)).next
        best = next(one for one in steps if one.kind == "reading")
        assert (look.key, look.gain, look.minutes) == (best.reading, best.gain, best.minutes)
        taken.append(look.key)
    assert (
        outcome.expert_answer == diagnose(JOB, strainer.case.readings.only(taken)).causes[0].fault
    )


@pytest.mark.extended
def test_experts_are_right_far_more_often_than_not() -> None:
    drills = [Drill(JOB, seed, 1) for seed in range(30)]
    blank = [drill.finish((), "") for drill in drills]
    right = [o.expert_answer in (o.case.fault, *o.same_as) for o in blank]
    assert sum(right) >= 26


def test_readings_and_faults_are_known_by_number_name_or_title(strainer: Drill) -> None:
    case = strainer.case
    assert case.key_of("1") == case.keys[0]
    assert case.key_of("Outlet temperature") == case.key_of("outlet_temperature")
    assert case.fault_of("Strainer blocked") == case.fault_of("strainer-blocked")
    with pytest.raises(AnswerError, match=r"no reading 'flou' here; did you mean 'flow'\?"):
        case.key_of("flou")
    with pytest.raises(AnswerError, match="no fault '99' here"):
        case.fault_of("99")


def two_units() -> Job:
    data = plain_loop()
    data["condenser"].append({"name": "cabin", "cooling": "9000 BTU/h"})
    branches = [
        {
            "name": name,
            "part": [
                {"kind": "hose", "length": "6 ft", "to": "8 in"},
                {"kind": "condenser", "serves": name, "loss": "2.2 psi at 240 gal/h"},
                {"kind": "hose", "length": "4 ft", "to": "5 in"},
            ],
        }
        for name in ("saloon", "cabin")
    ]
    data["part"][5] = {"kind": "pump", "curve": "demo-ac-700"}
    data["part"][8:9] = [{"kind": "manifold", "branch": branches}]
    return parse_job(data)


def test_a_loop_with_two_units_is_drilled_too() -> None:
    drill = Drill(two_units(), 3, 2)
    assert "outlet_temperature.cabin" in drill.case.keys
    assert drill.healthy("outlet_temperature.cabin").endswith("°F")
    assert drill.finish(["flow"], drill.case.fault).points > 0


def outcome_of(drill: Drill) -> Outcome:
    return drill.finish(["flow", "strainer_seen"], "strainer-blocked")


def test_a_kept_drill_reads_back(strainer: Drill, tmp_path: Path) -> None:
    path = tmp_path / "drill.json"
    path.write_text(log_text(outcome_of(strainer), Source(None, ".")), encoding="utf-8")
    kept = read_log(path)
    again = Drill(kept.played_job(), kept.seed, kept.level).finish(kept.taken, kept.answer)
    assert (again.points, again.minutes) == (kept.points, kept.minutes)
    assert again.case == strainer.case


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("", "is not a drill kept with --log"),
        ("[" * 100_000, "is not a drill kept with --log"),
        ("{}", "loop_drill: Field required"),
        ('{"loop_drill": 2}', "loop_drill: Input should be less than or equal to 1"),
    ],
)
def test_a_file_that_is_no_drill_is_told(tmp_path: Path, text: str, wrong: str) -> None:
    path = tmp_path / "bad.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(JobError, match=wrong):
        read_log(path)
    assert run("--replay", str(path)).exit_code == 2


def test_the_command_plays_keeps_and_replays(tmp_path: Path) -> None:
    kept = tmp_path / "kept.json"
    typed = "list\nhow flow\nfaults\nnonsense\nflow\nstrainer seen\nfault strainer-blocked\n"
    played = run("--seed", str(STRAINER), "--log", str(kept), typed=typed)
    assert played.exit_code == 0
    for said in (
        "The customer says:",
        "strainer seen (5 min)",
        "no reading 'nonsense' here",
        "9 min so far",
        "It was: strainer blocked",
        "An expert's way",
        "To mend it:",
    ):
        assert said in played.output
    log = DrillLog.model_validate(json.loads(kept.read_text(encoding="utf-8")))
    assert log.taken == ("flow", "strainer_seen")
    assert f"{log.points} points of 100." in played.output
    replayed = run("--replay", str(kept))
    assert replayed.exit_code == 0
    ending = played.output[played.output.index("It was:") : played.output.index("Kept in")]
    assert ending in replayed.output
    assert "has changed since" not in replayed.output


def test_a_replay_says_where_the_reckoning_has_changed(strainer: Drill, tmp_path: Path) -> None:
    log = json.loads(log_text(outcome_of(strainer), Source(None, ".")))
    path = tmp_path / "old.json"
    path.write_text(json.dumps(log | {"points": 1}), encoding="utf-8")
    assert "When it was kept it scored 1 points" in " ".join(
        run("--replay", str(path)).output.split()
    )


def test_the_command_ends_well_without_an_answer() -> None:
    for typed in ("", "quit\n", "\n\nflow\n"):
        done = run("--seed", "1", "--level", "2", typed=typed)
        assert done.exit_code == 0
        assert "No answer given. 0 points" in done.output


def test_the_last_level_does_not_say_what_is_healthy() -> None:
    assert "(healthy:" in run("--seed", "1", "--level", "2", typed="flow\n").output
    assert "(healthy:" not in run("--seed", "1", "--level", "3", typed="flow\n").output


def test_the_command_drills_a_job_of_ones_own(tmp_path: Path) -> None:
    job, kept = tmp_path / "mine.toml", tmp_path / "kept.json"
    example = Path(__file__).parent.parent / "examples" / "kittiwake.toml"
    job.write_bytes(example.read_bytes())
    assert run(str(job), "--seed", "2", "--log", str(kept), "--units", "si").exit_code == 0
    job.unlink()  # a kept drill holds its job
    replayed = run("--replay", str(kept))
    assert replayed.exit_code == 0
    assert "Kittiwake" in replayed.output
    assert run(str(job)).exit_code == 2
    assert run(str(example), "--replay", str(kept)).exit_code == 2


@pytest.mark.parametrize("level", [1, 2, 3])
def test_no_fault_is_hidden_that_looks_like_none(level: Level) -> None:
    """Of boats drawn, one on which all readings say "nothing wrong" is not dealt."""
    for seed in range(12):
        drill = Drill(JOB, seed, level)
        outcome = drill.finish(drill.case.keys, "healthy")
        assert (outcome.points > 0) == (drill.case.fault == "healthy"), seed


def test_what_is_healthy_goes_with_the_sea_that_was_read() -> None:
    drill = Drill(JOB, STRAINER, 1)
    assert drill.healthy("sea_temperature") == ""
    unread = drill.healthy("outlet_temperature")
    assert unread.endswith("in a sea of 82.0 °F")
    read = drill.healthy("outlet_temperature", ["sea_temperature"])
    sea = drill.case.readings.numbers["sea_temperature"].value
    warmer = float(read.split()[0]) - float(unread.split()[0])
    assert warmer == pytest.approx(1.8 * (sea - JOB.water.temperature), abs=0.11)
    assert drill.healthy("flow") == drill.healthy("flow", ["sea_temperature"])


def test_an_expert_who_was_misled_is_not_held_up_as_right() -> None:
    misled = next(
        outcome
        for outcome in (Drill(JOB, seed, 3).finish((), "healthy") for seed in range(100))
        if outcome.expert_answer not in (outcome.case.fault, *outcome.same_as)
    )
    done = run("--seed", str(misled.case.seed), "--level", "3", typed="quit\n")
    assert "and is misled" in " ".join(done.stdout.split())
