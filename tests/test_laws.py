"""Laws and published values that a change of a single number or sign would break."""

import math

import numpy as np
import pytest

from loop.check import check
from loop.hydraulics.headers import Header, Headers
from loop.job import JobError, Unit, parse_job
from loop.margins.heat import conductance, rated_conductance
from loop.parts.friction import GRAVITY, friction_factor
from loop.seawater import Water
from loop.units import parse
from tests.loops import changed, check_of

SEA = Water(temperature=20.0, salinity=35.0)
UNIT = Unit(name="saloon", cooling=3517.0)


def test_tee_losses_in_feet_are_the_published_ones() -> None:
    """Crane TP-410, example 7.35: 300 + 100 gal/min in 4 in pipe, −0.067 and 0.513 ft.

    Inside diameter of 4 in schedule 40 pipe: 4.026 in (ASME B36.10). The printed digits allow
    half a thousandth of a foot, and K itself is printed to a thousandth.
    """
    bore = parse("4.026 in", "length")
    header = Headers([Header(bore, (bore, bore), angle=90.0, converging=True)])
    flows = np.array([[[parse("100 gal/min", "flow"), parse("300 gal/min", "flow")]]])
    for exact in (True, False):
        branch, run = header.losses(flows, exact)[0, 0]
        assert branch / 0.3048 == pytest.approx(-0.067, abs=2e-3)
        assert run / 0.3048 == pytest.approx(0.513, abs=2e-3)


@pytest.mark.parametrize("roughness", [0.0, 1e-3, 0.05])
@pytest.mark.parametrize("edge", [2040.0, 3000.0])
def test_friction_has_no_step_where_its_laws_meet(edge: float, roughness: float) -> None:
    below, above = (friction_factor(edge * (1 + s), roughness) for s in (-1e-9, 1e-9))
    assert below == pytest.approx(above, rel=1e-6)


def test_places_on_a_hose_must_rise() -> None:
    for places in (("2 ft", "2 ft"), ("3 ft", "2 ft"), ("0 ft", "2 ft"), ("2 ft", "10 ft")):
        via = [{"at": at, "height": "0 in"} for at in places]
        with pytest.raises(JobError, match="places must rise along the hose"):
            parse_job(changed((8, "via", via)))


def test_conductance_is_the_rated_one_at_the_needed_flow_and_goes_with_its_factor() -> None:
    rated = rated_conductance(UNIT, SEA)
    assert conductance(UNIT, UNIT.needed_flow, SEA) == pytest.approx(rated)
    assert conductance(UNIT, UNIT.needed_flow, SEA, ua=0.5) == pytest.approx(rated / 2)
    # A film with this resistance, as the clean condenser halves it.
    assert conductance(UNIT, UNIT.needed_flow, SEA, fouling=1.0) == pytest.approx(rated / 2)
    # So much water that its film has no resistance: the other half remains.
    assert conductance(UNIT, 1e9 * UNIT.needed_flow, SEA) == pytest.approx(2 * rated, rel=1e-6)


def test_a_jet_leaves_at_the_height_and_pressure_of_the_air() -> None:
    for height in ("5 in", "20 in"):
        result = check_of((11, "height", height), (10, "to", height))
        last = result.point.stations[-1]
        assert last.total_head == pytest.approx(parse(height, "length"), abs=1e-7)
        assert last.gauge_pressure == pytest.approx(0.0, abs=1e-3)


def test_total_head_of_standing_water_is_that_of_the_pump() -> None:
    """Shut after the pump, nothing is lost, and the pump holds its shut-off head."""
    result = check(parse_job(changed((2, "open", "0 %"))))
    point = result.point
    assert point.flow == 0
    assert point.pump_head == pytest.approx(point.shutoff_head)
    assert all(station.head_loss == 0 for station in point.stations)


def test_heads_add_up_around_the_loop() -> None:
    """The pump's head is the lift plus every part's loss, and each station states its own."""
    point = check_of().point
    lost = sum(station.head_loss for station in point.stations)
    assert point.pump_head == pytest.approx(lost + parse("5 in", "length"), abs=1e-7)
    head = 0.0
    for station in point.stations:
        head += -station.head_loss + (point.pump_head if station.kind == "pump" else 0.0)
        assert station.total_head == pytest.approx(head, abs=1e-7)
        moving = 0.0 if station.kind == "discharge" else station.velocity**2 / (2 * GRAVITY)
        column = (head - station.height - moving) * point.network.water.density * GRAVITY
        assert station.gauge_pressure == pytest.approx(column, abs=1e-3)
        assert station.flow == point.flow


def test_two_rated_losses_set_the_curve_through_both() -> None:
    losses = ["1 psi at 150 gal/h", "2.2 psi at 240 gal/h"]
    job = parse_job(changed((9, "loss", losses)))
    part = job.part[8]
    for text in losses:
        drop, flow = (half.strip() for half in text.split("at"))
        head = part.head_loss(parse(flow, "flow"), SEA)
        assert head * SEA.density * GRAVITY == pytest.approx(parse(drop, "pressure"), rel=1e-9)
    swapped = parse_job(changed((9, "loss", losses[::-1]))).part[8]
    assert swapped.head_loss(1e-4, SEA) == pytest.approx(part.head_loss(1e-4, SEA), rel=1e-9)


def test_scale_thins_the_tube_by_the_law_of_smooth_tubes() -> None:
    """At fixed flow, loss goes as D to the −4.8: 10 % off the bore costs 1/0.9^4.8 = 1.658."""
    clean, scaled = (
        parse_job(changed((9, "tube_bore", "10 mm"), (9, "scale", scale))).part[8]
        for scale in ("0 mm", "0.5 mm")
    )
    ratio = scaled.head_loss(2e-4, SEA) / clean.head_loss(2e-4, SEA)
    assert ratio == pytest.approx(0.9**-4.8, rel=1e-9)
    assert math.isclose(ratio, 1.658, abs_tol=1e-3)
