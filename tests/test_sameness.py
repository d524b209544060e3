"""The comparison that CI runs between the oldest and newest versions of the dependencies."""

import json
import re
import tomllib
from pathlib import Path

import pytest

from tests.sameness import differences, main

ROOT = Path(__file__).parent.parent
ONE = {"loops": [{"flow": 0.0002, "verdict": "good"}, {"flow": 1e-9, "verdict": "bad"}]}


def changed(flow: float, verdict: str = "bad") -> dict[str, object]:
    return {"loops": [ONE["loops"][0], {"flow": flow, "verdict": verdict}]}


def test_same_is_the_same() -> None:
    assert differences(ONE, ONE) == ([], 0.0)


def test_a_number_is_judged_on_the_largest_of_its_kind() -> None:
    told, largest = differences(ONE, changed(1e-9 + 1e-14))
    assert told == []
    assert largest == pytest.approx(1e-14 / 2e-4, rel=1e-6)
    (line,) = differences(ONE, changed(1e-9 + 1e-11))[0]
    assert line.startswith("/loops/1/flow: ")


def test_a_number_of_a_call_may_be_farther_off() -> None:
    job, call = {"boat": ONE}, {"boat readings": ONE}
    apart = changed(1e-9 + 1e-11)
    assert len(differences(job, {"boat": apart})[0]) == 1
    assert differences(call, {"boat readings": apart})[0] == []
    assert len(differences(call, {"boat readings": changed(1e-9 + 1e-9)})[0]) == 1


def test_texts_and_missing_keys_differ() -> None:
    assert differences(ONE, changed(1e-9, "good"))[0] == ["/loops/1/verdict: 'bad' and 'good'"]
    assert differences(ONE, {"loops": [ONE["loops"][0]]})[0] == [
        "/loops/1/flow: only in one",
        "/loops/1/verdict: only in one",
    ]


def test_the_command_compares_two_files(tmp_path: Path) -> None:
    one, other = tmp_path / "one.json", tmp_path / "other.json"
    text = json.dumps(ONE)
    one.write_text(text, "utf-8")
    other.write_text(text, "utf-8")
    assert main(["--compare", str(one), str(other)]) == 0
    other.write_text(text.replace('"flow": 0.0', '"flow": 0.1', 1), "utf-8")
    assert main(["--compare", str(one), str(other)]) == 1


def test_the_oldest_set_is_the_lower_bounds() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    bounds = {wanted.replace(">=", "==") for wanted in project["dependencies"]}
    pinned = set(re.findall(r"^\w\S+$", (ROOT / ".ci/oldest.txt").read_text("utf-8"), re.M))
    assert pinned == bounds
