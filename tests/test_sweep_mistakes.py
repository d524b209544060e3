"""What a sweep says of wrong addresses and values, of parts, and without the library of frames."""

import re
import sys
import tomllib

import pytest

from loop.job import JobError, read_job
from loop.parts import Strainer
from loop.sweep import sweep
from loop.words.commands import SAY
from tests.command_line import KITTIWAKE

JOB = read_job(KITTIWAKE)
LENGTH = "part[8].length"


def test_wrong_addresses_and_values_are_told_at_once() -> None:
    with pytest.raises(JobError) as caught:
        sweep(JOB, {"part[88].length": [1.0], "colour": ["red"], LENGTH: [], "pump": ["x", "y"]})
    starts = [line.split()[0].rstrip(":") for line in caught.value.problems]
    assert starts == ["'colour'", LENGTH, "part[88].length", "pump", "pump"]


def test_a_wrong_value_is_told_with_its_place_alone() -> None:
    with pytest.raises(JobError) as caught:
        sweep(JOB, {LENGTH: ["3 psi"]})
    (line,) = caught.value.problems
    assert line.startswith(f"{LENGTH} = 3 psi: part 8 (hose) length: unit 'psi' does not fit")


def test_a_frame_without_its_library_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pandas", None)
    with pytest.raises(ImportError, match=re.escape(SAY("package-missing", name="pandas"))):
        sweep(JOB, {LENGTH: ["8 ft"]}).to_frame()


def test_a_part_that_is_tried_is_shown_as_a_file_holds_it() -> None:
    found = sweep(JOB, {"part[4]": [Strainer(k=3.2), Strainer(k=1.0, blocked=0.5)]})
    first, second = found.to_dict()["axes"]["part[4]"]
    assert tomllib.loads(f"part = {first}")["part"] == {"kind": "strainer", "k": 3.2}
    assert tomllib.loads(f"part = {second}")["part"]["blocked"] == 0.5
