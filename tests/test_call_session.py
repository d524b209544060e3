"""A call on the terminal: saved at every step, undone, resumed; faults counted over jobs."""

import re
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from loop.cli import app
from loop.diagnose import Study, baseline, diagnose, drift, parse_readings, read_readings
from loop.diagnose.action_names import IN_FILES
from loop.diagnose.actions import BY_NAME
from loop.diagnose.experience import count_faults, jobs_in, read_priors, season_of
from loop.diagnose.faults import FAULTS
from loop.diagnose.reading_kinds import TOOLS
from loop.diagnose.session import Session, save, to_toml
from loop.diagnose.unknown_loop import LoopKind, prepare_unit
from loop.job import JobError, Visit, read_job
from loop.words.commands import SAY as COMMAND
from loop.words.diagnosis import SAY
from loop.words.faults import title
from loop.words.to_do import DOING
from loop.wrong import wrong
from tests.said import is_said, pattern
from tests.studies import study_of, study_of_no_job

EXAMPLES = Path(__file__).parent.parent / "examples"
JOB = EXAMPLES / "kittiwake.toml"


def run(*words: object, typed: str | None = None) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, list(map(str, words)), typed)
    assert result.exception is None or isinstance(result.exception, SystemExit)
    return result.exit_code, result.stdout, result.stderr


def test_a_session_takes_what_is_typed_and_undoes_it() -> None:
    session = Session(read_job(JOB))
    session = session.entered("said since haul-out").entered("stream=weak")
    session = session.entered("did open the seacock: was fully open").entered(
        "bucket=1 gal in 30 s"
    )
    assert session.readings.said == ("since haul-out",)
    assert session.readings.steps[0].saw == "was fully open"
    assert "flow" in session.readings.steps[0].numbers
    back = session.undo().undo()
    assert back.readings.steps == ()
    assert back.readings.words == {"stream": "weak"}
    assert Session(read_job(JOB)).undo().readings.empty
    with pytest.raises(JobError, match=repr("gremlins")):
        session.entered("gremlins")
    with pytest.raises(JobError, match="dance"):
        session.entered("did dance")
    assert session.do("bleed", "1").readings.steps[-1].saw == "air came"


def test_what_was_read_under_way_is_typed_and_kept_beside_what_was_read_at_the_dock() -> None:
    session = Session(read_job(JOB)).entered("stream=strong")
    session = session.entered("under way stream=sputtering").entered("under way flow=120 gal/h")
    assert session.readings.words == {"stream": "strong"}
    under_way = session.readings.under_way
    assert under_way is not None
    assert under_way.words == {"stream": "sputtering"}
    assert list(under_way.numbers) == ["flow"]
    back = session.undo().undo().readings
    assert back.under_way is None
    with pytest.raises(JobError, match="gremlins"):
        session.entered("under way gremlins=3")


def test_a_call_that_was_resumed_is_undone_as_one_that_was_not() -> None:
    """Undo removes readings after the last action, that action, earlier readings, then nothing."""
    job = read_job(JOB)
    readings = read_readings(EXAMPLES / "readings-call.toml", job)
    session = Session.resumed(job, readings)
    assert session.readings == readings
    states = [session.readings]
    while session.undo().readings != session.readings:
        session = session.undo()
        states.append(session.readings)
    assert [(len(one.steps), len(one.steps[-1].keys) if one.steps else -1) for one in states] == [
        (2, 2), (2, 0), (1, 0), (0, -1), (0, -1),
    ]  # fmt: skip
    assert states[-1].empty
    assert states[-2].texts == readings.texts


def test_a_call_in_which_nothing_is_left_to_do_is_not_closed_on_the_person(tmp_path: Path) -> None:
    """By these readings all is well; the bucket was misread, and is read again."""
    kept = tmp_path / "call.toml"
    kept.write_text(
        'said = ["high-pressure fault"]\nflow = "231 gal/h"\nsea_temperature = "84 degF"\n'
        'outlet_temperature = "92 degF"\ncondensing_temperature = "104 degF"\nunit = "cools"\n',
        "utf-8",
    )
    code, out, _ = run("call", JOB, "-f", kept, typed="flow=95 gal/h\ndone\n")
    assert code == 0
    assert SAY("headline-sound") in " ".join(out.split())
    assert 'flow = "95 gal/h"' in kept.read_text("utf-8")


def test_without_a_job_file_five_questions_are_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each is repeated until valid; the equivalent options give the same call."""
    loops: list[tuple[LoopKind, Study]] = []

    def once(kind: LoopKind, *more: Any) -> Study:
        if loops:
            assert kind == loops[0][0]
        else:
            loops.append((kind, prepare_unit(kind, *more)))
        return loops[0][1]

    monkeypatch.setattr(import_module("loop.diagnose.unknown_loop"), "prepare_unit", once)
    kept = tmp_path / "call.toml"
    answers = ["12", "12000 BTU/h", "3/4", "3/4 in", "", "230", "230 V", "y"]
    code, out, err = run(
        "call", "-f", kept, typed="\n".join([*answers, "none", "normal", "done\n"])
    )
    assert code == 0
    assert len(err.splitlines()) == 3
    options = ["--unit", "12000 BTU/h", "--bore", "3/4 in", "--supply", "230 V", "--bleed"]
    assert '--unit "12000 BTU/h" --bore "3/4 in" --supply "230 V" --bleed' in " ".join(out.split())
    code, again, _ = run("call", "-f", kept, *options, typed="done\n")
    assert code == 0
    last = out[out.index(SAY("causes-title")) :]
    assert last == again[again.index(SAY("causes-title")) :]
    assert DOING["bleed"].title in last


@pytest.mark.parametrize(
    ("step", "answer", "meant"),
    [
        ("open-pump", "jammed", "damaged or jammed"),
        ("wiggle-hoses", "water changes", "the water changes"),
        ("seat-lid-and-clamps", "loose", "something was loose"),
        ("wiggle-hoses", "change", ""),  # not "no change"
        ("let-water-in", "comes", ""),  # not "it hardly comes"
        ("seat-lid-and-clamps", "not loose", ""),
    ],
)
def test_a_part_of_an_answer_is_enough_unless_it_may_mean_the_other(
    step: str, answer: str, meant: str
) -> None:
    session = Session(read_job(JOB))
    if meant:
        assert session.do(step, answer).readings.steps[0].saw == meant
        return
    with pytest.raises(JobError) as error:
        session.do(step, answer)
    assert str(error.value).startswith(IN_FILES[step])


def test_an_unknown_tool_is_told_which_tools_are_known() -> None:
    code, _, err = run("diagnose", JOB, "--reading", "stream=weak", "--tools", "spanner")
    assert code == 2
    assert all(tool in err for tool in TOOLS)


def test_a_call_is_a_readings_file_that_reads_back_to_itself(tmp_path: Path) -> None:
    job = read_job(JOB)
    taken = read_readings(EXAMPLES / "readings-call.toml", job)
    taken = taken.having(
        parse_readings({"under_way": {"stream": "none"}, "note": 'a "quoted" note'}, job)
    )
    file = tmp_path / "call.toml"
    file.write_text(to_toml(taken))
    assert read_readings(file, job) == taken


def test_the_pump_s_flow_and_a_unit_s_stand_in_one_file(tmp_path: Path) -> None:
    job = read_job(EXAMPLES / "guillemot.toml")
    both = {"flow": "200 gal/h", "flow.saloon": "190 gal/h"}
    file = tmp_path / "both.toml"
    file.write_text(to_toml(parse_readings(both, job)), encoding="utf-8")
    assert read_readings(file, job).texts == both


def test_a_call_of_one_boat_is_not_that_of_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for job in (JOB, EXAMPLES / "petrel.toml"):
        code, out, _ = run("call", job, typed="weak\ndone\n")
        assert code == 0
        assert not pattern(COMMAND, "call-resumed").search(" ".join(out.split()))
    assert len([*tmp_path.iterdir()]) == 2
    for _ in range(2):  # without a job, the next boat's too
        code, out, _ = run("call", "--unit", "1 ton", typed="weak\ndone\n")
        assert code == 0
        assert not pattern(COMMAND, "call-resumed").search(" ".join(out.split()))
    assert pattern(COMMAND, "call-earlier").search(" ".join(out.split()))
    assert (tmp_path / "call.toml").read_text() == (tmp_path / "call-2.toml").read_text()
    assert pattern(COMMAND, "call-resumed").search(
        " ".join(run("call", JOB, typed="done\n")[1].split())
    )


def test_a_call_is_kept_and_resumed(tmp_path: Path) -> None:
    file = tmp_path / "call.toml"
    code, out, _ = run("call", JOB, "-f", file, "--tools", "bucket", typed="weak\ndone\n")
    assert code == 0
    assert 'stream = "weak"' in file.read_text()
    code, out, _ = run("call", JOB, "-f", file, typed="1\nundo\ndid clean-basket: dirty\ndone\n")
    assert code == 0
    assert pattern(COMMAND, "call-resumed").search(" ".join(out.split()))
    kept = read_readings(file, read_job(JOB))
    assert [step.did for step in kept.steps] == ["clean-basket"]
    assert kept.tools == ("bucket",)


@pytest.mark.parametrize(
    "words",
    [("call", "-f"), ("card", "-o"), ("diagnose", EXAMPLES / "readings-call.toml", "--record")],
)
def test_a_job_file_and_a_kind_of_boat_are_not_both_given(
    words: tuple[object, ...], tmp_path: Path
) -> None:
    command, *others = words
    target = tmp_path / "new.html"
    code, _, err = run(command, JOB, *others, target, "--unit", "12000 BTU/h")
    assert code == 2
    assert err == f"{COMMAND('unit-or-job')}\n"
    assert not target.exists()


def test_a_call_without_a_job_file() -> None:
    unit = ("diagnose", "--unit", "12000 BTU/h", "--tools", "bucket, thermometer")
    code, out, _ = run(*unit, "-r", "stream=none", "-r", "pump_sound=hums")
    assert code == 0
    assert title("pump-jammed") in out
    assert SAY("note-no-job") in " ".join(out.split())
    for words, said in (
        (("diagnose", "-r", "stream=weak"), COMMAND("no-job")),
        (("diagnose", "--unit", "12 psi"), "--unit"),
        (("diagnose", "--unit", "1 W", "-r", "stream=weak"), "1 W"),
        (("diagnose", JOB, "--bore", "1 in", "-r", "stream=weak"), "--bore"),
        ((*unit, "--pump", "nothing", "-r", "stream=weak"), "--pump"),
        ((*unit, "--pump", "5 gph", "-r", "stream=weak"), wrong("answer-plate", answer="5 gph")),
    ):
        code, _, err = run(*words)
        assert code == 2
        assert said in err


def test_known_facts_narrow_the_loop() -> None:
    wide = study_of_no_job()
    near = prepare_unit(LoopKind(3516.85, bore=0.01905, pump="demo-ac-350", length=4.5))

    def spread(study) -> float:  # type: ignore[no-untyped-def]
        at = study.instruments.column_of["flow"]
        row = study.healthy
        return float((study.factor[row, at] ** 2).sum() + study.noise[row, at])

    assert spread(near) < 0.6 * spread(wide)


@pytest.mark.parametrize(
    ("supply", "read"),
    [("230 V", ("230 V", "50 Hz")), ("220 V 60 Hz", ("220 V", "60 Hz")), ("24 V", ("25 V", None))],
)
def test_the_supply_of_a_boat_without_a_job_file_is_its_own(
    supply: str, read: tuple[str, str | None]
) -> None:
    """Its usual volts and hertz are no fault, and a low one is."""
    study = prepare_unit(LoopKind(3516.85, supply=supply))
    readings = {"stream": "strong", "supply": read[0]}
    readings |= {"frequency": read[1]} if read[1] else {}
    assert diagnose(study.instruments.job, readings, study).well
    low = diagnose(study.instruments.job, {"stream": "weak", "supply": "19 V"}, study)
    assert (low.causes[0].fault == "supply-low") == (supply == "24 V")


def test_a_pump_is_known_by_its_nameplate() -> None:
    """Its shut-off pressure is its head and the water over it: a pump 4 to 20 in deep."""
    study = prepare_unit(LoopKind(3516.85, pump="500 gal/h, 20 ft"))
    healthy = diagnose(study.instruments.job, {"stream": "weak"}, study).healthy
    inch = 0.0254 * 1025 * 9.81
    assert 244 * inch < healthy["shutoff_pressure"] < 260 * inch


def test_visits_are_counted_and_become_weights(tmp_path: Path) -> None:
    text = JOB.read_text()
    for number, was in enumerate(("strainer-blocked", "pump worn", "pump-worn + sea-warm", "?")):
        visit = f'\n[[visit]]\ndate = "2025-0{number + 6}-02"\nwas = "{was}"\n'
        (tmp_path / f"boat{number}.toml").write_text(text + visit)
    (tmp_path / "broken.toml").write_text("part = 3")
    jobs, problems = jobs_in(tmp_path)
    assert len(problems) == 1
    found = count_faults(jobs)
    assert found.counts["strainer-blocked"] == 1
    assert found.counts["pump-worn"] == 1.5
    assert found.unknown == ("?",)
    assert sum(found.priors().values()) == pytest.approx(1, abs=1e-3)
    own = {fault.name: fault.prior for fault in FAULTS}
    assert found.priors()["pump-worn"] > own["pump-worn"] / sum(own.values())
    assert count_faults(jobs, season="summer").visits == 3
    assert count_faults(jobs, kind="several units").visits == 0
    assert season_of(Visit(date="2025-12-01")) == "winter"
    file = tmp_path / "priors.toml"
    code, out, _ = run("faults", tmp_path, "-o", file)
    assert code == 0
    assert is_said(out.splitlines()[0], COMMAND, "visits", said="4")
    assert read_priors(str(file)) == found.priors()
    code, _, _ = run("diagnose", JOB, "-r", "stream=weak", "--priors", file, "--json")
    assert code == 0
    with pytest.raises(JobError, match=re.escape(SAY("wrong-priors-file", path=str(JOB)))):
        read_priors(str(JOB))


def test_where_no_visit_says_what_it_was_it_is_told_how() -> None:
    code, out, _ = run("faults", EXAMPLES)
    assert code == 0
    assert COMMAND("visits-how") in " ".join(out.split())


def test_what_it_was_is_recorded(tmp_path: Path) -> None:
    target = tmp_path / "boat.toml"
    words = ("diagnose", JOB, "-r", "flow=110 gal/h", "--record", target)
    code, _, err = run(*words, "--was", "strainer")
    assert code == 2
    assert "strainer-blocked" in err
    code, out, _ = run(*words, "--was", "strainer-blocked", "--date", "2025-07-01")
    assert code == 0
    assert COMMAND("written", file=str(target)) in " ".join(out.split())
    assert read_job(target).visit[-1].was == "strainer-blocked"
    words = ("diagnose", target, "-r", "flow=110 gal/h", "--record", target)
    code, out, _ = run(*words, "--was", "strainer-blocked", "--date", "2025-08-01")
    assert code == 0
    assert COMMAND("recorded-in-job", file=str(target)) in " ".join(out.split())
    assert [one.date for one in read_job(target).visit] == ["2025-07-01", "2025-08-01"]


BEFORE = {"flow": "1 gal in 31 s", "sea_temperature": "80 degF", "outlet_temperature": "97 degF"}
SAID = ["after weed, mud or jellyfish", "suddenly"]
AFTER = {"stream": "strong", "flow": "1 gal in 15 s", "outlet_temperature": "88 degF"}


def _visited(tmp_path: Path, steps: list[dict[str, str]], *options: str) -> Visit:
    """The recorded visit of a call with these steps, read back from the job file."""
    call, target = tmp_path / "call.toml", tmp_path / "boat.toml"
    whole = BEFORE | {"date": "2026-07-01", "said": SAID, "step": steps}
    readings = parse_readings(whole, read_job(JOB))
    save(readings, call)
    code, _, err = run("diagnose", JOB, call, "--record", target, *options)
    assert (code, err) == (0, "")
    return read_job(target).visit[-1]


def test_a_visit_keeps_the_loop_as_found_and_as_left_and_what_was_done(tmp_path: Path) -> None:
    cleaned: dict[str, str] = {"did": "clean-basket", "saw": "dirty"}
    visit = _visited(tmp_path, [cleaned | AFTER, {"did": "look-at-discharge", "saw": "clear"}])
    assert visit.done == ("clean-basket: dirty", "look-at-discharge: clear")
    assert visit.before == BEFORE
    assert visit.readings == AFTER | {"sea_temperature": BEFORE["sea_temperature"]}
    assert visit.was == "strainer-blocked"
    assert list(visit.said) == SAID


def test_a_visit_on_which_nothing_was_read_again_keeps_the_last_readings(tmp_path: Path) -> None:
    visit = _visited(tmp_path, [{"did": "clean-basket", "saw": "clean"}])
    assert visit.readings == BEFORE
    assert visit.was == ""


def test_what_a_person_says_that_it_was_counts(tmp_path: Path) -> None:
    cleaned: dict[str, str] = {"did": "clean-basket", "saw": "dirty"}
    assert _visited(tmp_path, [cleaned | AFTER], "--was", "intake-fouled").was == "intake-fouled"


def test_the_drift_goes_by_the_loop_as_it_was_left(tmp_path: Path) -> None:
    """One gallon in 15 s is 240 gal/h, in 31 s 116: the band is around the first."""
    _visited(tmp_path, [{"did": "clean-basket", "saw": "dirty"} | AFTER])
    (found,) = drift(read_job(tmp_path / "boat.toml")).visits
    gallon = 231 * 0.0254**3
    assert found.flow_low < gallon / 15 < found.flow_high
    assert found.flow_low > gallon / 31


def test_a_baseline_is_of_the_loop_as_it_was_left() -> None:
    job = read_job(JOB)
    cleaned: dict[str, object] = {"did": "clean-basket", "saw": "dirty"}
    whole = parse_readings(BEFORE | {"step": [cleaned | AFTER]}, job)
    alone = parse_readings(AFTER | {"sea_temperature": BEFORE["sea_temperature"]}, job)
    assert baseline(job, whole).job.fitted == baseline(job, alone).job.fitted


def test_a_step_that_was_passed_over_is_not_in_the_first_line(tmp_path: Path) -> None:
    """The question, the next step in the first line, and the head of the list are the same step."""
    _, out, _ = run("call", JOB, "-f", tmp_path / "call.toml", typed="weak\n\n\nlist\ndone\n")
    flat = " ".join(out.split())
    asked = list(pattern(SAY, "headline-none-leads").finditer(flat))
    assert len(asked) >= 3
    study = study_of("kittiwake")
    result = diagnose(study.instruments.job, {"stream": "weak"}, study)
    skipped = {one.reading for one in result.next[:2]}
    left = diagnose(study.instruments.job, {"stream": "weak"}, study, skipped)
    for one in (*result.next[:2], left.next[0]):
        step = SAY("step-brief", title=one.title, minutes=one.minutes)
        assert SAY("headline-none-leads", step=step) in flat
    same_look = {BY_NAME[key].looks for key in skipped if key in BY_NAME}
    assert left.next == tuple(o for o in result.next if o.reading not in skipped | same_look)
    assert left.next[0].title in left.headline


def test_no_skipped_step_is_said_to_tell_the_causes_apart() -> None:
    study = study_of("kittiwake")
    readings = {
        "stream": "weak",
        "step": [{"did": "clean-basket", "saw": "dirty", "flow": "150 gal/h"}],
    }
    taken = parse_readings(readings, study.instruments.job)
    first, skipped = diagnose(study.instruments.job, taken, study), set[str]()
    assert first.groups[0].split == first.next[0].reading
    for _ in range(3):
        skipped.add(first.next[len(skipped)].reading)
        left = diagnose(study.instruments.job, taken, study, skipped)
        others = {one.title for one in first.next} - {left.next[0].title}
        assert not any(title in group.sentence for title in others for group in left.groups)
        assert not skipped & {group.split for group in left.groups}


def test_what_was_read_twice_is_not_asked_a_third_time() -> None:
    session = Session(read_job(JOB)).entered("flow=230 gal/h").entered("flow=229 gal/h")
    assert session.skipped == {"flow"}
    assert session.entered("did bleed: air came").skipped == frozenset()


def test_a_thing_to_do_that_was_passed_over_is_not_asked_again() -> None:
    """A skipped reading is asked again after an action, since it may have changed."""
    session = Session(read_job(JOB)).skip("bleed").skip("stream").entered("unit=weak")
    assert session.skipped == {"bleed", "stream"}
    assert session.entered("did open-seacock: was fully open").skipped == {"bleed"}


@pytest.mark.parametrize("end", ["done", "Stop", "end", "quit", "exit", "q"])
def test_a_call_ends_at_any_word_for_it(end: str, tmp_path: Path) -> None:
    code, out, told = run("call", JOB, "-f", tmp_path / "c.toml", typed=f"weak\n{end}\n")
    assert (code, told) == (0, "")
    assert pattern(COMMAND, "call-kept").search(" ".join(out.split()))


def test_an_answer_is_its_number_too_and_who_cannot_say_passes_on(tmp_path: Path) -> None:
    """For a look and for an action; an action with unknown result counts as done."""
    file = tmp_path / "call.toml"
    typed = "2\n3\ndon't know\nskip\ndone\n"
    code, out, told = run("call", JOB, "-f", file, "--tools", "none", typed=typed)
    kept = read_readings(file, read_job(JOB))
    assert (code, told) == (0, "")
    assert kept.words == {"stream": "weak"}
    assert [(step.did, step.saw) for step in kept.steps] == [("open-seacock", "")]
    assert "1 strong, 2 weak" in out


def test_who_cannot_read_a_thing_is_asked_twice_and_no_more() -> None:
    """Once more after an action: the bucket may have been found by then."""
    session = Session(read_job(JOB))
    for step, asked_again in (("did bleed", True), ("did wiggle-hoses", False)):
        session = session.skip("flow").entered(step)
        assert ("flow" not in session.skipped) == asked_again
    assert "wiggle-hoses" in session.skip("wiggle-hoses").entered("did prime").skipped
