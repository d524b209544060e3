"""What a sweep says of wrong addresses and values, and without the library of frames."""

import sys

import pytest

from loop.job import JobError, read_job
from loop.sweep import sweep
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
    with pytest.raises(ImportError, match="pip install pandas"):
        sweep(JOB, {LENGTH: ["8 ft"]}).to_frame()
