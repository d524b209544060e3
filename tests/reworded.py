"""The tests, with every sentence of the room of words turned into other text.

Two things must hold. A test not marked ``wording`` passes: any that fails reads a sentence to
decide something. A test marked ``wording`` fails: any that passes does not test the text.
``python -m tests.reworded tests/test_sheet.py …`` takes pytest's arguments, and exits with 0 if
both hold. Processes that the tests start use the other text too.
"""

import os
import sys
import tempfile
from collections import defaultdict
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from tests.other_text import reword

_ROOT = Path(__file__).parents[1]


class Judge:
    """Records the failures by test function, and whether each should fail."""

    def __init__(self) -> None:
        self.failed: dict[str, bool] = defaultdict(bool)
        self.of_wording: set[str] = set()
        self.ran: set[str] = set()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        name = report.nodeid.partition("[")[0]
        if report.when == "call" and not report.skipped:
            self.ran.add(name)
        # Examples in docstrings show the text as it is.
        if "wording" in report.keywords or name.startswith("loop/"):
            self.of_wording.add(name)
        self.failed[name] |= report.failed

    def verdict(self) -> int:
        """Prints both lists; returns 0 if both are empty."""
        failed = {name for name, bad in self.failed.items() if bad}
        read = sorted(failed - self.of_wording)
        marked = {one for one in self.of_wording & self.ran if not one.startswith("loop/")}
        blind = sorted(marked - failed)
        print(f"\n{len(self.ran)} tests, of which {len(marked)} are tests of the text.")
        _listed("Read a sentence to decide something, or do not say that they test it", read)
        _listed("Are marked as tests of the text, and pass with any other", blind)
        print("FAIL" if read or blind else "PASS: only tests of the text fail with other text.")
        return int(bool(read or blind))


def _listed(what: str, names: Sequence[str]) -> None:
    if names:
        print(f"{what} ({len(names)}):", *names, sep="\n  ")


def _with_children(environment: Mapping[str, str], folder: str) -> dict[str, str]:
    """The environment in which a Python subprocess uses the other text too."""
    start = (
        f"import sys\nsys.path.insert(0, {str(_ROOT)!r})\n"
        "from tests.other_text import reword\ndel sys.path[0]\nreword()\n"
    )
    Path(folder, "sitecustomize.py").write_text(start, encoding="utf-8")
    before = environment.get("PYTHONPATH")
    return {"PYTHONPATH": os.pathsep.join([folder, *([before] if before else [])])}


if __name__ == "__main__":
    reword()
    judge = Judge()
    with tempfile.TemporaryDirectory() as own:
        os.environ.update(_with_children(os.environ, own))
        ended = pytest.main(["-q", "--tb=no", *sys.argv[1:]], plugins=[judge])
    sys.exit(judge.verdict() if ended in (0, 1) else ended)
