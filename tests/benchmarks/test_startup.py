"""`loop check` against a bare Python that imports the libraries it needs: a ratio in one run."""

import ast
import os
import resource
import subprocess
import sys
from pathlib import Path
from statistics import median

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
# One unit, two units on two branches, and four.
_CHECKED = ("kittiwake", "guillemot", "dabchick")
_RUNS = 15
_MOST = 1.3

_MODULES = """
import sys
from loop.cli import main
try:
    main()
finally:
    sys.stderr.write("\\n".join(m.__file__ for n, m in sys.modules.items() if n[:5] == "loop."))
"""


def run(folder: Path, *command: str) -> str:
    """What a run of Python says to standard error, its modules compiled in `folder`."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    environment["PYTHONPYCACHEPREFIX"] = str(folder)
    done = subprocess.run(
        [sys.executable, *command], check=True, capture_output=True, env=environment, text=True
    )
    return done.stderr


def processor_time(folder: Path, *command: str) -> float:
    """Processor time [s] of one run: unlike time by the clock, none of it is others' work."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    run(folder, *command)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def needed_imports(folder: Path, job: Path) -> str:
    """The import statements, of other libraries than Python's own, in the modules check loads."""
    found: dict[str, None] = {}
    for path in run(folder, "-c", _MODULES, "check", str(job)).splitlines():
        for node in ast.parse(Path(path).read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ImportFrom):
                roots = [(node.module or "").split(".")[0]]
            elif isinstance(node, ast.Import):
                roots = [alias.name.split(".")[0] for alias in node.names]
            else:
                continue
            if not {*roots} & {"loop", *sys.stdlib_module_names}:
                found[ast.unparse(node)] = None
    return "\n".join(found)


def ratio(name: str, folder: Path, runs: int) -> float:
    """Processor time of checking an example over that of the bare imports.

    The median of pairs that are run back to back, so that what slows one slows the other.
    """
    job = EXAMPLES / f"{name}.toml"
    bare = ("-c", needed_imports(folder, job))
    whole = ("-m", "loop", "check", str(job))
    processor_time(folder, *bare), processor_time(folder, *whole)
    return median(
        processor_time(folder, *whole) / processor_time(folder, *bare) for _ in range(runs)
    )


@pytest.mark.extended
@pytest.mark.parametrize("name", _CHECKED)
def test_check_takes_hardly_longer_than_importing_what_it_needs(name: str, tmp_path: Path) -> None:
    found = ratio(name, tmp_path, _RUNS)
    print(f"loop check {name} / bare imports: median {found:.2f} of {_RUNS} pairs")
    assert found < _MOST


def test_check_imports_nothing_that_is_slow_and_not_for_it() -> None:
    program = (
        "import sys; from loop.check import check; from loop.job import read_job; "
        f"check(read_job({str(EXAMPLES / 'kittiwake.toml')!r})); "
        "slow = ('matplotlib', 'reportlab', 'jinja2'); "
        "sys.exit(any(name in sys.modules for name in slow))"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
