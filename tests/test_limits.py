"""What a part's fields accept: each range at both of its limits, and the defaults."""

import math
from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from loop.parts import AnyPart, Condenser, Elbow, Fitting, Hose, Intake, Manifold, Part, Pump
from loop.parts.rated import exponent_of
from loop.parts.seacock import SHUT_ANGLE, Seacock
from loop.units.stated import Rating

BORE = 0.019
ANY: TypeAdapter[Part] = TypeAdapter(AnyPart)
NEEDED: dict[str, dict[str, Any]] = {
    "tee": {},
    "elbow": {},
    "strainer": {"k": 3.0},
    "fitting": {"k": 2.0},
    "hose": {"length": 3.0, "to": 0.2},
    "condenser": {"serves": "a", "loss": "10 kPa at 15 L/min"},
    "pump": {"curve": "demo-ac-350"},
    "manifold": {"branch": [{"name": "a", "part": [{"kind": "tee"}]}]},
}


def part(kind: str, **more: Any) -> Any:
    return ANY.validate_python({"kind": kind, "bore": BORE, **NEEDED[kind], **more})


def branches(count: int, parts: int = 1, name: str = "a") -> list[dict[str, Any]]:
    return [{"name": name, "part": [{"kind": "tee"}] * parts}] * count


POINTS = [{"at": n / 100, "height": 0.0} for n in range(1, 60)]
# Kind, field, the least and the most that it takes, and what lies just outside (None: no such).
COUNTS: list[tuple[str, str, Any, Any, Any, Any]] = [
    ("tee", "label", "", "x" * 60, None, "x" * 61),
    ("elbow", "count", 1, 50, 0, 51),
    ("fitting", "count", 1, 50, 0, 51),
    ("fitting", "k", 0.0, 1e4, -1e-9, 10_000.1),
    ("strainer", "k", 0.0, 1e4, -1e-9, 10_000.1),
    ("hose", "barbs", 0, 20, -1, 21),
    ("hose", "via", [], POINTS[:50], None, POINTS[:51]),
    ("hose", "sweeps", [], [1.5] * 50, None, [1.5] * 51),
    ("condenser", "serves", "x", "x" * 60, "", "x" * 61),
    ("condenser", "tubes", 1, 1000, 0, 1001),
    ("condenser", "loss", ["1 psi at 1 gpm"], ["1 psi at 1 gpm", "2 psi at 2 gpm"], [],
     ["1 psi at 1 gpm", "2 psi at 2 gpm", "3 psi at 3 gpm"]),
    ("pump", "count", 1, 8, 0, 9),
    ("manifold", "branch", branches(1), branches(600), [], branches(601)),
    ("manifold", "branch", branches(1, 1), branches(1, 500), branches(1, 0), branches(1, 501)),
    ("manifold", "branch", branches(1, name="x"), branches(1, name="x" * 60), branches(1, name=""),
     branches(1, name="x" * 61)),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "field", "least", "most", "below", "above"), COUNTS)
def test_both_edges_of_a_range(
    kind: str, field: str, least: Any, most: Any, below: Any, above: Any
) -> None:
    for value in (least, most):
        part(kind, **{field: value})
    for value in (below, above):
        if value is not None:
            with pytest.raises(ValidationError, match=field):
                part(kind, **{field: value})


@pytest.mark.parametrize("field", ["cv", "kv"])
def test_a_flow_coefficient_is_above_zero_and_at_most_ten_thousand(field: str) -> None:
    for value in (1e-6, 1e4):
        assert getattr(part("fitting", k=None, **{field: value}), field) == value
    for value in (0.0, 10_000.1, math.inf):
        with pytest.raises(ValidationError, match=field):
            part("fitting", k=None, **{field: value})


def test_scale_is_at_most_ten_millimetres_and_leaves_a_tenth_of_the_tube() -> None:
    assert part("condenser", tube_bore=0.05, scale=0.01).scale == 0.01
    with pytest.raises(ValidationError, match="scale"):
        part("condenser", tube_bore=0.05, scale=0.0101)
    # 4.5 mm on either side of a 10 mm tube leaves 1 mm.
    assert part("condenser", tube_bore=0.01, scale=0.0045).scale == 0.0045
    with pytest.raises(ValidationError, match="would be closed"):
        part("condenser", tube_bore=0.01, scale=0.00451)
    # No scale needs no tube.
    assert part("condenser", scale=0.0).tube_bore is None


@pytest.mark.parametrize(
    ("times", "speed"), [(0.1, 0.3), (0.299, 0.3), (0.3, 0.3), (1.7, 1.7), (1.71, 1.7)]
)
def test_a_pump_is_calculated_between_three_tenths_and_one_and_seven_tenths_of_its_speed(
    times: float, speed: float
) -> None:
    """A 60 Hz pump from 6 Hz to 102.6 Hz; beyond, it is judged as a wrong supply, not refused."""
    assert part("pump", frequency=60 * times).speed == pytest.approx(speed)


def test_frequency_is_for_ac_pumps_and_voltage_moves_dc_pumps_only() -> None:
    with pytest.raises(ValidationError, match="is a DC pump and has none"):
        part("pump", curve="demo-dc-320", frequency=60.0)
    assert part("pump", supply=100.0).speed == 1.0
    assert part("pump", curve="demo-dc-320", supply=6.0).speed == pytest.approx(0.5)
    assert part("pump", curve="demo-dc-320").speed == 1.0


def test_pumps_side_by_side_share_the_flow_and_pumps_in_line_the_head() -> None:
    assert [part("pump").in_parallel, part("pump").in_series] == [1, 1]
    beside, in_line = (part("pump", count=3, arrangement=a) for a in ("parallel", "series"))
    assert (beside.in_parallel, beside.in_series) == (3, 1)
    assert (in_line.in_parallel, in_line.in_series) == (1, 3)
    assert part("pump", count=3).in_parallel == 3


def test_a_pumps_port_is_its_bore_unless_the_job_gives_one() -> None:
    bare = ANY.validate_python({"kind": "pump", "curve": "demo-ac-350"})
    assert isinstance(bare, Pump)
    assert bare.inner_bore == bare.curve.port
    assert part("pump").inner_bore == BORE


@pytest.mark.parametrize(
    ("drop", "flow", "fits"),
    [
        (2.0, 2.0, True),  # exponent 1: laminar
        (1.9, 2.0, False),
        (4.5, 2.0, True),  # log2 of 4.5 is 2.17
        (4.7, 2.0, False),  # and of 4.7 2.23
        (2.0, 1.0, False),
        (1.0, 2.0, False),
    ],
)
def test_two_rated_points_rise_as_water_passages_do(drop: float, flow: float, fits: bool) -> None:
    points = [f"{d} psi at {f} gpm" for d, f in ((1.0, 1.0), (drop, flow))]
    for order in (points, points[::-1]):
        if fits:
            part("condenser", loss=order)
            continue
        with pytest.raises(ValidationError, match="must rise" if 1.0 in (drop, flow) else "1 to 2"):
            part("condenser", loss=order)


def test_laminar_and_steepest_exponents_are_told() -> None:
    assert exponent_of(Rating(1.0, 1.0), Rating(2.0, 2.0)) == 1.0
    assert exponent_of(Rating(1.0, 1.0), Rating(4.0**1.05, 4.0)) == pytest.approx(1.05)


# What is taken where the job says nothing


def test_defaults() -> None:
    """Handbook and job file: valves open, fittings single, nothing blocked, positions unknown."""
    intake = ANY.validate_python({"kind": "intake", "height": -0.5})
    assert isinstance(intake, Intake)
    assert (intake.off_centre, intake.fore_aft, intake.grate_open) == (None, None, 0.5)
    assert intake.facing == "flush"
    pump = part("pump")
    assert (pump.off_centre, pump.fore_aft, pump.count) == (None, None, 1)
    hose = part("hose")
    assert isinstance(hose, Hose)
    assert (hose.barbs, hose.sweeps, hose.via) == (2, (), ())
    condenser = part("condenser")
    assert isinstance(condenser, Condenser)
    assert (condenser.tubes, condenser.scale) == (1, 0)
    for one in (part("elbow"), part("fitting")):
        assert isinstance(one, Elbow | Fitting)
        assert one.count == 1
    manifold = part("manifold")
    assert isinstance(manifold, Manifold)
    assert math.degrees(manifold.angle) == math.degrees(part("elbow").angle) == 90
    assert part("strainer").blocked == 0
    assert not part("tee").shut
    assert not part("tee").one_way


def test_a_valve_is_open_unless_it_is_said_and_shut_from_82_degrees() -> None:
    assert Seacock().open == 1
    assert SHUT_ANGLE == 82
    assert not Seacock(open=1 - 81.9 / 90).shut
    assert Seacock(open=1 - 82.1 / 90).shut
    assert Seacock(open=0.0).shut
