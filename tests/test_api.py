"""The Python interface: ``import loop`` and its public names."""

import dataclasses
import importlib
import inspect
import os
import pickle
import re
import subprocess
import sys
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import pytest

import loop
from loop.words.diagnosis import SAY as DIAGNOSIS
from tests.command_line import EXAMPLES, KITTIWAKE, python


def test_two_calls_lead_from_a_file_to_a_verdict() -> None:
    result = loop.check(loop.read_job(KITTIWAKE))
    assert isinstance(result, loop.CheckResult)
    assert result.verdict == "good"


def test_a_job_built_in_code_is_the_job_of_the_file() -> None:
    inch = 0.0254
    job = loop.Job(
        title="Kittiwake, saloon unit",
        water=loop.Sea(temperature=(85 - 32) / 1.8),
        boat=loop.Boat(heel=0.20943951, trim=0.03490659, wave_height=6 * inch, light_rise=inch),
        defaults=loop.Defaults(bore=0.75 * inch, lining="smooth rubber"),
        condenser=[loop.Unit(name="saloon", cooling="12000 BTU/h")],
        part=[
            loop.Intake(facing="forward", height="-16 in", off_centre="20 in"),
            loop.Seacock(),
            loop.Hose(length="2 ft", to="-12 in"),
            loop.Strainer(loss="0.4 psi at 300 gal/h"),
            loop.Hose(length="2 ft", to="-10 in"),
            loop.Pump(curve="demo-ac-350"),
            loop.Bleed(),
            loop.Hose(length="10 ft", to="10 in", sweeps=["90 deg"]),
            loop.Condenser(serves="saloon", loss="2.2 psi at 240 gal/h"),
            loop.Hose(length="6 ft", to="5 in"),
            loop.Discharge(height="5 in"),
        ],
    )
    written = loop.solve(loop.read_job(KITTIWAKE))
    assert loop.solve(job).flow == pytest.approx(written.flow, rel=1e-6)


@pytest.mark.parametrize("name", loop.__all__)
def test_every_public_name_is_there_and_listed(name: str) -> None:
    assert callable(getattr(loop, name))
    assert name in dir(loop)


def test_nothing_but_names_of_ours_is_listed() -> None:
    """Names the package imports for itself, such as `Any`, are not listed."""
    listed = [name for name in dir(loop) if not name.startswith("__")]
    rooms = [name for name in listed if inspect.ismodule(getattr(loop, name))]
    assert {*listed} - {*rooms} == {*loop.__all__}
    assert all(importlib.import_module(f"loop.{name}") for name in rooms)


def _resolves(path: str) -> bool:
    """Whether a dotted name resolves to something in the package."""
    *way, last = path.split(".")
    try:
        return bool(way) and hasattr(importlib.import_module(".".join(way)), last)
    except ImportError:
        return False


def _named(thing: Any) -> set[str]:
    """The names in single backticks of a docstring."""
    return set(re.findall(r"(?<!`)`([A-Za-z_][\w.]*)`(?!`)", inspect.getdoc(thing) or ""))


@pytest.mark.parametrize("name", loop.__all__)
def test_a_docstring_names_what_a_reader_can_find(name: str) -> None:
    """Public names, full paths, or the object's own parameters and fields."""
    thing = getattr(loop, name)
    kept = vars(thing) if inspect.isclass(thing) else {}
    members = [thing, *(value for key, value in kept.items() if not key.startswith("_"))]
    for one in members:
        if not (callable(one) or isinstance(one, property)):
            continue
        function = one.fget if isinstance(one, property) else one
        own = set(dir(thing)) if inspect.isclass(thing) else set()
        own |= set(getattr(thing, "model_fields", {})) | set(getattr(thing, "__annotations__", {}))
        if not (inspect.isclass(one) and issubclass(one, Exception)):
            own |= set(inspect.signature(function).parameters)  # type: ignore[arg-type]
        for said in _named(one):
            known = said.partition(".")[0] in {*loop.__all__, *own}
            assert known or _resolves(said), (name, said)


def test_a_type_checker_finds_a_name_that_is_not_there(tmp_path: Path) -> None:
    pytest.importorskip("mypy")
    script, settings = tmp_path / "typed.py", tmp_path / "mypy.ini"
    # The names are the package's own; what its rooms hold is for the check of the whole.
    sections = ("mypy", ""), ("mypy-loop.*", "skip"), ("mypy-loop", "normal")
    lines = (f"[{name}]\n" + (how and f"follow_imports = {how}\n") for name, how in sections)
    settings.write_text("".join(lines), "utf-8")
    script.write_text('import loop\nloop.reed_job("x")\nloop.read_job("x")\n', "utf-8")
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "mypy",
            "--strict",
            "--config-file",
            settings,
            "--cache-dir",
            tmp_path / "cache",
            script,
        ],
        capture_output=True,
        text=True,
        env={**os.environ, "MYPYPATH": str(EXAMPLES.parent)},
        timeout=300,
    )
    errors = [line for line in done.stdout.splitlines() if "error:" in line]
    assert len(errors) == 1
    assert 'no attribute "reed_job"' in errors[0]


@pytest.mark.parametrize("name", ["check", "diagnose", "draw", "sheet", "size"])
def test_a_function_is_not_hidden_by_the_room_of_its_name(name: str) -> None:
    room = importlib.import_module(f"loop.{name}")
    function = getattr(loop, name)
    assert inspect.isfunction(function)
    assert function is getattr(room, name)
    assert inspect.signature(function).parameters
    assert inspect.getdoc(function)
    assert pickle.loads(pickle.dumps(function)) is function


def test_jobs_are_checked_in_processes() -> None:
    jobs = [loop.read_job(KITTIWAKE), loop.read_job(EXAMPLES / "dabchick.toml")]
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as processes:
        found = list(processes.map(loop.check, jobs))
    for job, result in zip(jobs, found, strict=True):
        assert result.point.flow == loop.check(job).point.flow


def test_the_version_is_told() -> None:
    assert re.fullmatch(r"\d+\.\d+\.\d+", loop.__version__)


@pytest.mark.parametrize(
    ("name", "more"),
    [("check", ()), ("size", ()), ("solve", ()), ("explain", ()), ("boats", ()),
     ("draw", ("heads",)), ("sweep", ({"pump": ["demo-ac-350"]},)), ("diagnose", ({},)),
     ("baseline", ({},)), ("write_job", ("job.toml",))],
)  # fmt: skip
@pytest.mark.parametrize("given", ["it's.toml", Path("boat.toml"), {}, None])
def test_what_is_no_job_is_said_with_what_gives_one(
    name: str, more: tuple[Any, ...], given: Any
) -> None:
    with pytest.raises(loop.JobError) as caught:
        getattr(loop, name)(given, *more)
    (said,) = caught.value.problems
    path = "boat.toml" if given in ({}, None) else str(given)
    assert said.startswith(f"loop.{name} ")
    assert f"loop.read_job({path!r})" in said
    assert said.endswith(type(given).__name__)


def test_a_page_is_made_of_a_sheet_or_of_what_it_is_made_of() -> None:
    job = loop.read_job(KITTIWAKE)
    made = loop.to_html(loop.sheet(job))
    assert loop.to_html(job) == loop.to_html(loop.check(job)) == made
    assert loop.to_pdf(job).startswith(b"%PDF")
    with pytest.raises(loop.JobError, match="read_job"):
        loop.to_pdf("boat.toml")  # type: ignore[arg-type]


@pytest.mark.parametrize("given", [["stream=weak"], "stream=weak"])
def test_readings_that_are_no_table_are_refused(given: Any) -> None:
    with pytest.raises(loop.JobError) as caught:
        loop.diagnose(loop.read_job(KITTIWAKE), given)
    assert caught.value.problems == [DIAGNOSIS("wrong-readings", where="readings")]


def test_a_folder_that_is_not_there_is_said_by_the_name_that_was_given(tmp_path: Path) -> None:
    path = tmp_path / "nowhere" / "job.toml"
    with pytest.raises(FileNotFoundError) as caught:
        loop.write_job(loop.read_job(KITTIWAKE), path)
    assert caught.value.filename == str(path)


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="module 'loop' has no attribute 'chek'"):
        _ = loop.chek


def test_import_alone_loads_nothing() -> None:
    program = "import sys; import loop; print('numpy' in sys.modules, 'pydantic' in sys.modules)"
    assert python(program) == "False False\n"


def test_star_import_brings_the_public_names() -> None:
    assert python("from loop import *; print(check.__name__, Hose.__name__)") == "check Hose\n"


@pytest.mark.parametrize("name", ["kittiwake", "guillemot", "dabchick"])
def test_a_result_is_the_same_after_pickling(name: str) -> None:
    result = loop.check(loop.read_job(EXAMPLES / f"{name}.toml"))
    again = pickle.loads(pickle.dumps(result))
    assert again == result
    assert again != loop.check(loop.read_job(EXAMPLES / f"{name}.toml").at_speed(1.0))


@pytest.mark.parametrize(
    "kind", [loop.Finding, loop.CheckResult, loop.SizeResult, loop.Diagnosis, loop.Sweep]
)
def test_a_result_tells_what_it_is_made_of(kind: type) -> None:
    fields = [field.name for field in dataclasses.fields(kind)]  # type: ignore[arg-type]
    assert list(inspect.signature(kind).parameters) == fields
