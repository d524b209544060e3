"""What each command imports: a library that it does not need would take most of its time."""

import importlib
import inspect
import subprocess
import sys
from pathlib import Path

import pytest

from loop.catalogue import catalogue
from loop.cli import COMMANDS, app, in_python
from loop.draw import FIGURES
from tests.command_line import EXAMPLES, KITTIWAKE, loop

HEAVY = (
    "importlib.metadata",
    "numpy",
    "numpy.ma",
    "numpy.random",
    "scipy",
    "fluids",
    "gsw",
    "pint",
    "pydantic",
    "rich",
    "matplotlib",
    "reportlab",
    "jinja2",
)
_PROGRAM = """
import sys
from loop.cli import main
sys.argv = ["loop", *sys.argv[1:]]
try:
    main()
except SystemExit:
    pass
print(*(name for name, module in sys.modules.items() if module), file=sys.stderr)
"""
_HELPS = """
import sys
from loop.cli import COMMANDS, main
for name in COMMANDS:
    sys.argv = ["loop", name, "--help"]
    try:
        main()
    except SystemExit:
        pass
    print(name, *(one for one, module in sys.modules.items() if module), file=sys.stderr)
"""
_TABLES = {"numpy", "fluids", "gsw", "pydantic", "rich"}
_DRAWN = (_TABLES - {"rich"}) | {"matplotlib", "numpy.ma"}
# Stating the program's version requires looking up the installed package.
_SIGNED = {"importlib.metadata"}
ALLOWED: dict[str, set[str]] = {
    f"check {KITTIWAKE}": _TABLES,
    f"check {KITTIWAKE} --json": _TABLES | _SIGNED,
    f"diagnose {KITTIWAKE} {EXAMPLES / 'readings-strainer.toml'}": _TABLES,
    f"explain {KITTIWAKE}": _TABLES,
    f"size {KITTIWAKE} --draws 5 --pumps demo-ac-350 --bores 3/4in": _TABLES,
    f"baseline {KITTIWAKE} {EXAMPLES / 'readings-clean.toml'} -o out.toml": _TABLES,
    f"sweep {KITTIWAKE} --vary pump=demo-ac-250;demo-ac-350": _TABLES,
    "quiz --list": _TABLES | {"numpy.random"},
    "pumps": {"numpy", "pydantic", "rich"},
    "schema": _TABLES - {"rich"},
    f"draw {KITTIWAKE} -o out.png": _DRAWN,
    f"sheet {KITTIWAKE} -o out.html": _DRAWN | _SIGNED | {"jinja2"},
    f"sheet {KITTIWAKE} -o out.pdf": _DRAWN | _SIGNED | {"reportlab"},
    "--help": set(),
}


def loaded(*words: str, folder: Path, **environment: str) -> set[str]:
    """The heavy libraries among the modules loaded at the end of a run."""
    done = subprocess.run(
        [sys.executable, "-c", _PROGRAM, *words],
        capture_output=True,
        text=True,
        check=True,
        cwd=folder,
        env={"PYTHONPATH": str(EXAMPLES.parent), **environment},
    )
    return {*HEAVY} & {*done.stderr.split()}


@pytest.mark.parametrize("command", ALLOWED)
def test_a_command_loads_what_it_needs_and_no_more(command: str, tmp_path: Path) -> None:
    assert loaded(*command.split(), folder=tmp_path) <= ALLOWED[command]


def test_help_loads_no_library(tmp_path: Path) -> None:
    """One command after another in one process: whatever one loads, the last still has."""
    done = subprocess.run(
        [sys.executable, "-c", _HELPS],
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
        env={"PYTHONPATH": str(EXAMPLES.parent)},
    )
    told = [line.split() for line in done.stderr.splitlines()]
    assert [name for name, *_ in told] == list(COMMANDS)
    for name, *modules in told:
        assert not {*HEAVY} & {*modules}, name


@pytest.mark.parametrize("typed", ["loop ch", "loop check --", "loop pumps demo-ac"])
def test_completion_loads_no_library_but_that_of_the_options(typed: str, tmp_path: Path) -> None:
    asked = {"_LOOP_COMPLETE": "complete_bash", "COMP_WORDS": typed}
    last = str(len(typed.split()) - 1)
    assert loaded(folder=tmp_path, COMP_CWORD=last, **asked) <= {"pydantic"}


@pytest.mark.parametrize("name", COMMANDS)
def test_help_is_the_same_by_the_short_way_and_holds_an_example(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["loop", name, "--help"])
    with pytest.raises(SystemExit) as ended:
        app(prog_name="loop")
    assert not ended.value.code
    whole = capsys.readouterr().out
    assert f"Example:  loop {name}" in whole
    importlib.import_module("loop.cli")._print_help(name)
    assert capsys.readouterr().out == whole


@pytest.mark.parametrize("name", COMMANDS)
def test_what_is_declared_is_what_runs(name: str) -> None:
    function = in_python(name)
    declared = getattr(importlib.import_module(f"loop.cli.commands.{function}"), function)
    run = getattr(importlib.import_module(f"loop.cli.{function}"), function)
    asked = inspect.signature(declared).parameters
    inspect.signature(run).bind(**dict.fromkeys(asked))
    takes = inspect.signature(run).parameters.values()
    if not any(one.kind is one.VAR_KEYWORD for one in takes):
        assert [one.name for one in takes] == list(asked)


def test_what_is_known_without_its_room_is_what_the_room_knows() -> None:
    told = loop("draw", "--help").stdout
    assert all(f"{name}:" in told for name in FIGURES)
    assert "demo-ac-350" in catalogue()


def test_the_stand_in_for_plugins_answers_as_what_it_stands_for() -> None:
    asked = """
import sys
from loop.cli import main
sys.argv = ["loop", "pumps"]
try:
    main()
except SystemExit:
    pass
stood_in = type(sys.modules["pydantic.plugin._loader"]).__name__
from pydantic.plugin._loader import PYDANTIC_ENTRY_POINT_GROUP, get_plugins
print(stood_in, PYDANTIC_ENTRY_POINT_GROUP, *get_plugins())
"""
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "_NoPlugins pydantic"


@pytest.mark.parametrize("status", [0, 3])
def test_the_process_ends_at_once_when_all_have_tidied_up(status: int) -> None:
    asked = f"""
import atexit, loop.cli
class Taken:
    def __del__(self):
        print("taken apart")
def run():
    global kept
    kept = Taken()
    atexit.register(print, "tidied up")
    raise SystemExit({status})
loop.cli.main = run
from loop.__main__ import main
main()
"""
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (status, "tidied up\n")
