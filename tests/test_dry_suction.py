"""The air that a self-priming pump must draw out of its suction hose at each start."""

import math
from typing import Any

import pytest

from loop.check import check
from loop.job import parse_job
from loop.words import Finding
from loop.words.actions import ChangeHose, MovePump
from tests.loops import changed, found

INCH = 0.0254


def dry(*changes: tuple[str | int, str, Any], curve: str = "demo-dc-prime-400") -> list[Finding]:
    """With 40 ft of 3/4 in hose from 6 in under water to a pump 20 in above it."""
    base = changed((3, "to", "-6 in"), (5, "to", "20 in"), (5, "length", "40 ft"))
    return found(
        check(parse_job(changed((6, "curve", curve), *changes, base=base)), fixes=False),
        "suction-dry",
    )


@pytest.mark.parametrize("rise", [0, 3])
def test_the_hose_above_the_water_is_what_is_dry(rise: int) -> None:
    """20 of its 26 in of rise; three more when the boat is light."""
    (note,) = dry(("boat", "light_rise", f"{rise} in"))
    hose = math.pi / 4 * (0.75 * INCH) ** 2 * 480 * INCH
    assert note.level == "note"
    assert note.values["air"] == pytest.approx(hose * (20 + rise) / 26)


@pytest.mark.parametrize(("feet", "level"), [(8, "note"), (18, "warning")])
def test_minutes_of_dry_running_at_each_start_are_a_warning(feet: int, level: str) -> None:
    """Air at a twentieth of 400 gal/h: 20 gal/h; level 1-1/2 in hose holds 0.092 gal a foot."""
    long = [{"at": "3 ft", "height": "20 in"}]
    (one,) = dry((5, "bore", "1-1/2 in"), (5, "length", f"{feet + 3} ft"), (5, "via", long))
    gallons = 0.0918 * (feet + 3 * 20 / 26)
    assert (gallons / 20 * 60 > 5) is (level == "warning")
    assert one.level == level


def test_a_short_hose_and_one_that_a_check_valve_keeps_full_are_none() -> None:
    assert not dry((5, "length", "20 ft"))
    assert not dry((2, "kind", "check valve"))
    assert not dry((5, "to", "-5 in"))
    assert not dry(curve="demo-ac-350")


def test_a_warning_is_cured_by_hose_of_the_pumps_port_or_by_a_lower_pump() -> None:
    """What stays in hose of the port's bore is drawn out before the seal is hurt."""
    long = [{"at": "3 ft", "height": "20 in"}]
    base = changed((3, "to", "-6 in"), (5, "to", "20 in"), (5, "length", "40 ft"), (5, "via", long))
    job = parse_job(changed((6, "curve", "demo-dc-prime-400"), (5, "bore", "1-1/2 in"), base=base))
    (warning,) = found(check(job), "suction-dry")
    assert warning.level == "warning"
    hose, lower = warning.actions
    assert isinstance(hose, ChangeHose)
    assert hose.bore == pytest.approx(0.75 * INCH)
    assert any(isinstance(step, MovePump) and step.height <= 0 for step in lower.steps)
    for action, left in (hose, ["note"]), (lower, []):
        after = found(check(action.apply(job), fixes=False), "suction-dry")
        assert [one.level for one in after] == left
