"""`loop check` against a bare Python that imports the libraries it needs: a ratio in one run."""

import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

import pytest

EXAMPLE = Path(__file__).parents[2] / "examples" / "kittiwake.toml"
_LIBRARIES = "import fluids, fluids.filters, gsw, numpy, pint, pydantic, typer, rich.table"
_INTERPOLATION = "from scipy.interpolate import PchipInterpolator"
# Naming pydantic loads nothing of it until a model is wanted.
_MODELS = "from pydantic import BaseModel"
_RUNS = 7
_MOST = 1.3


def seconds(folder: Path, *command: str) -> float:
    """Wall time of one run of a command, its modules compiled in `folder` as installing does."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    environment["PYTHONPYCACHEPREFIX"] = str(folder)
    start = time.perf_counter()
    subprocess.run([sys.executable, *command], check=True, capture_output=True, env=environment)
    return time.perf_counter() - start


@pytest.mark.extended
def test_check_takes_hardly_longer_than_importing_what_it_needs(tmp_path: Path) -> None:
    bare = ("-c", f"{_LIBRARIES}; {_INTERPOLATION}; {_MODELS}")
    whole = ("-m", "loop", "check", str(EXAMPLE))
    seconds(tmp_path, *bare), seconds(tmp_path, *whole)
    ratios = [seconds(tmp_path, *whole) / seconds(tmp_path, *bare) for _ in range(_RUNS)]
    print(f"loop check / bare imports: median {median(ratios):.2f} of {_RUNS} pairs")
    assert median(ratios) < _MOST


def test_check_imports_no_drawing() -> None:
    program = (
        "import sys; from loop.check import check; from loop.job import read_job; "
        f"check(read_job({str(EXAMPLE)!r})); "
        "sys.exit(any(m in sys.modules for m in ('matplotlib', 'reportlab', 'jinja2')))"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
