"""Losses of every kind of part: by hand, and by the laws that they must obey."""

import math
from typing import Any

import fluids
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from loop.curve import FLOW_GRID
from loop.hydraulics.headers import Header, Headers
from loop.hydraulics.headers import Tee as HeaderTee
from loop.hydraulics.network import part_table
from loop.parts import (
    AnyPart,
    CheckValve,
    Condenser,
    Discharge,
    Elbow,
    Fitting,
    Hose,
    Intake,
    Manifold,
    Part,
    Seacock,
    Strainer,
)
from loop.parts.friction import (
    GRAVITY,
    friction_factor,
    reynolds,
    velocity,
    velocity_head,
)
from loop.parts.rated import exponent_of, rated_head_loss
from loop.parts.seacock import (
    SHUT_ANGLE,
    added_coefficient,
    angle_for,
    handle_angle,
    opening_at,
)
from loop.seawater import Water
from loop.units.stated import Rating

SEA = Water(temperature=20.0, salinity=35.0)
BORE = 0.019
FLOW = 2.5e-4

ANY: TypeAdapter[Part] = TypeAdapter(AnyPart)
ALL: dict[str, dict[str, Any]] = {
    "intake": {"height": -0.5},
    "seacock": {"open": 0.6},
    "hose": {"length": 3.0, "to": 0.2, "sweeps": [1.5]},
    "strainer": {"k": 3.0, "blocked": 0.3},
    "bleed": {},
    "condenser": {"serves": "a", "loss": "10 kPa at 15 L/min"},
    "elbow": {"count": 2},
    "tee": {},
    "check valve": {},
    "vented loop": {},
    "fitting": {"cv": 8.0},
    "discharge": {"height": 0.1},
}
every_kind = pytest.mark.parametrize("kind", ALL)
flows = st.floats(1e-6, 2e-3)


def part(kind: str, **more: Any) -> Part:
    return ANY.validate_python({"kind": kind, "bore": BORE, **ALL[kind], **more})


# Laws


@every_kind
def test_many_flows_at_once_lose_what_each_loses_alone(kind: str) -> None:
    one = part(kind)
    alone = [one.head_loss(flow, SEA) for flow in FLOW_GRID.tolist()]
    assert one.head_loss(FLOW_GRID, SEA) == pytest.approx(alone, rel=1e-14)
    assert part_table(one, SEA) * FLOW_GRID**2 == pytest.approx(alone, rel=1e-14)


@pytest.mark.parametrize("roughness", [0.0, 1e-6, 1e-4, 1e-3, 0.05, 0.3])
def test_friction_of_many_flows_at_once_is_that_of_each(roughness: float) -> None:
    numbers = np.exp(np.linspace(math.log(1e-2), math.log(1e8), 4000))
    alone = [friction_factor(number, roughness) for number in numbers.tolist()]
    assert friction_factor(numbers, roughness) == pytest.approx(alone, rel=1e-14)


@every_kind
@given(flow=flows, more=st.floats(1.001, 3))
def test_more_flow_loses_more_head(kind: str, flow: float, more: float) -> None:
    one = part(kind)
    assert 0 < one.head_loss(flow, SEA) < one.head_loss(flow * more, SEA)


@every_kind
@given(flow=flows, wider=st.floats(1.05, 2))
def test_a_wider_bore_never_loses_more(kind: str, flow: float, wider: float) -> None:
    loss = part(kind).head_loss(flow, SEA)
    assert part(kind, bore=BORE * wider).head_loss(flow, SEA) <= loss * (1 + 1e-12)


@given(flow=flows, more=st.floats(0.001, 0.5))
def test_more_blockage_loses_more(flow: float, more: float) -> None:
    clean = part("strainer", blocked=0.2).head_loss(flow, SEA)
    assert part("strainer", blocked=0.2 + more).head_loss(flow, SEA) > clean


@given(flow=flows, length=st.floats(0.1, 50), more=st.floats(1.01, 3))
def test_a_hose_loses_in_proportion_to_its_length_but_for_its_ends(
    flow: float, length: float, more: float
) -> None:
    bare = [part("hose", length=size, barbs=0, sweeps=[]) for size in (length, length * more)]
    short, long = (hose.head_loss(flow, SEA) for hose in bare)
    assert long == pytest.approx(more * short)


@given(st.floats(2000, 3100), st.floats(0, 0.05))
def test_friction_is_continuous_where_flow_turns(number: float, roughness: float) -> None:
    """A loop whose head falls inside a step would have no operating point."""
    ahead = friction_factor(number * 1.001, roughness) / friction_factor(number, roughness)
    assert 0.99 < ahead < 1.01
    # The loss itself rises all the way.
    assert ahead * 1.001**2 > 1


def test_friction_is_laminar_and_turbulent_outside_the_bridge() -> None:
    assert friction_factor(1000, 0.01) == pytest.approx(0.064)
    # Colebrook at Re 1e5, roughness 0.001: the equation itself, by its own residual.
    f = friction_factor(1e5, 1e-3)
    assert 1 / math.sqrt(f) == pytest.approx(
        -2 * math.log10(1e-3 / 3.7 + 2.51 / (1e5 * math.sqrt(f))), rel=1e-4
    )


# By hand


def test_velocity_head_and_reynolds_by_hand() -> None:
    assert velocity(math.pi / 4 * 0.02**2, 0.02) == pytest.approx(1.0)
    assert velocity_head(math.pi / 4 * 0.02**2, 0.02) == pytest.approx(1 / (2 * 9.80665))
    number = reynolds(math.pi / 4 * 0.02**2, 0.02, SEA)
    assert number == pytest.approx(0.02 / SEA.kinematic_viscosity)


def test_a_hose_is_friction_sweeps_and_barbs() -> None:
    """Barb of 0.8 bores: contraction and expansion by the areas, plus two bores of friction."""
    hose = part("hose", length=2.0, sweeps=[], barbs=2)
    factor = friction_factor(reynolds(FLOW, BORE, SEA), 3e-5 / BORE)
    barb = 0.8 * BORE
    expansion = (1 - 0.8**2) ** 2  # Borda-Carnot
    smooth = 2 * friction_factor(reynolds(FLOW, barb, SEA), 0.0)
    pipe = factor * 2.0 / BORE
    k = hose.loss_coefficient(FLOW, SEA)
    contraction = (k - pipe) / 2 * 0.8**4 - expansion - smooth
    # Between Crane's 0.5 (1 - 0.64) = 0.18 and half as much again (Rennels).
    assert 0.18 < contraction < 0.27
    # The handbook's rule: about 0.9 velocity heads of the hose an end.
    assert (k - pipe) / 2 == pytest.approx(0.9, abs=0.15)
    assert part("hose", length=2.0, sweeps=[], barbs=0).loss_coefficient(
        FLOW, SEA
    ) == pytest.approx(pipe)


def test_barbs_lining_and_radius_do_as_they_say() -> None:
    base = part("hose", sweeps=[1.5])
    assert isinstance(base, Hose)
    assert base.barb == pytest.approx(0.8 * BORE)
    losses = {
        "plain": base.head_loss(FLOW, SEA),
        "four barbs": part("hose", barbs=4).head_loss(FLOW, SEA),
        "wide barbs": part("hose", barb_bore=BORE).head_loss(FLOW, SEA),
        "ribbed": part("hose", lining="ribbed").head_loss(FLOW, SEA),
        "plastic": part("hose", lining="smooth plastic").head_loss(FLOW, SEA),
        "tight": part("hose", bend_radius=BORE).head_loss(FLOW, SEA),
        "rough": part("hose", roughness=1e-3).head_loss(FLOW, SEA),
    }
    assert losses["wide barbs"] < losses["plain"] < losses["four barbs"]
    assert losses["plastic"] < losses["plain"] < losses["ribbed"]
    assert losses["tight"] > losses["plain"]
    assert losses["rough"] == pytest.approx(losses["ribbed"])  # 1 mm both


def test_points_on_a_hose_are_evenly_spaced_unless_placed() -> None:
    even = part("hose", length=3.0, via=["20 cm", {"height": 0.5}], to=0.1)
    assert isinstance(even, Hose)
    assert np.array(even.points) == pytest.approx(np.array([[1.0, 0.2], [2.0, 0.5], [3.0, 0.1]]))
    placed = part("hose", length=3.0, via=[{"at": 0.4, "height": 0.3}], to=0.1)
    assert isinstance(placed, Hose)
    assert placed.points == ((0.4, 0.3), (3.0, 0.1))


def test_strainer_by_hand() -> None:
    """Half blocked: twice the velocity, four times the basket's loss, the housing's unchanged."""
    rated = part("strainer", k=None, loss="0.4 psi at 300 gal/h", blocked=0.5, basket_share=0.6)
    flow = 300 * 3.785411784e-3 / 3600
    head = 0.4 * 6894.757293168361 / (SEA.density * GRAVITY)
    assert rated.head_loss(flow, SEA) == pytest.approx((4 * 0.6 + 0.4) * head)
    assert rated.head_loss(flow / 2, SEA) == pytest.approx((4 * 0.6 + 0.4) * head / 4)
    assert rated.blocked_factor(0.0) == pytest.approx(1 / 2.8)


@given(st.floats(0.2, 1), st.floats(0, 0.95), st.floats(0, 0.95))
def test_blocking_a_strainer_takes_it_from_one_loss_to_the_other(
    share: float, before: float, after: float
) -> None:
    one = part("strainer", blocked=before, basket_share=share)
    other = part("strainer", blocked=after, basket_share=share)
    factor = other.head_loss(3e-4, SEA) / one.head_loss(3e-4, SEA)
    assert one.blocked_factor(after) == pytest.approx(factor)


def test_condenser_by_hand() -> None:
    one = part("condenser")
    head = 1e4 / (SEA.density * GRAVITY)
    flow = 15 / 60_000
    assert one.head_loss(flow, SEA) == pytest.approx(head)
    assert one.head_loss(flow / 2, SEA) == pytest.approx(head / 2**1.8)
    two = part("condenser", loss=["10 kPa at 15 L/min", "40 kPa at 30 L/min"])
    assert two.head_loss(flow * 2, SEA) == pytest.approx(4 * head)
    # 0.5 mm of scale in a 10 mm tube leaves 9 mm: (10/9)^4.8.
    scaled = part("condenser", tube_bore=0.01, scale=0.0005)
    assert scaled.head_loss(flow, SEA) == pytest.approx(head * (10 / 9) ** 4.8)


def test_rated_points_give_their_exponent_whichever_comes_first() -> None:
    low, high = Rating(1e4, 1e-4), Rating(4e4, 2e-4)
    assert exponent_of(low, high) == exponent_of(high, low) == pytest.approx(2.0)
    assert rated_head_loss(low, 2e-4, SEA, 1.5) == pytest.approx(
        rated_head_loss(low, 1e-4, SEA) * 2**1.5
    )


def test_fitting_by_hand() -> None:
    assert part("fitting", cv=None, k=2.5).head_loss(FLOW, SEA) == pytest.approx(
        2.5 * velocity_head(FLOW, BORE)
    )
    # Kv: 1 m³/h at 1 bar of water of 1000 kg/m³; twice the flow, four times the drop.
    kv = part("fitting", cv=None, kv=1.0)
    assert kv.head_loss(1 / 3600, SEA) == pytest.approx(1e5 / (1000 * GRAVITY), rel=2e-3)
    assert kv.head_loss(2 / 3600, SEA) == pytest.approx(4 * kv.head_loss(1 / 3600, SEA))
    assert part("fitting", count=3).head_loss(FLOW, SEA) == pytest.approx(
        3 * part("fitting").head_loss(FLOW, SEA)
    )
    assert part("elbow", count=4).head_loss(FLOW, SEA) == pytest.approx(
        2 * part("elbow").head_loss(FLOW, SEA)
    )


def test_intake_grate_costs_by_its_face_and_its_openings() -> None:
    bare = part("intake", grate_open=1.0)
    usual, wide, close = (
        part("intake", **more)
        for more in ({}, {"grate_area": 4 * math.pi / 4 * BORE**2}, {"grate_open": 0.3})
    )
    k = {name: p.loss_coefficient(FLOW, SEA) for name, p in
         {"bare": bare, "usual": usual, "wide": wide, "close": close}.items()}  # fmt: skip
    assert 0.5 <= k["bare"] < 0.6
    # The default face is twice the bore; twice that again, the grate costs a quarter.
    assert k["wide"] - k["bare"] == pytest.approx((k["usual"] - k["bare"]) / 4)
    assert k["close"] > k["usual"] > k["wide"]


@given(st.floats(0.1, SHUT_ANGLE - 0.5))
def test_a_valves_handle_and_what_it_adds_are_each_others_reverse(angle: float) -> None:
    assert angle_for(added_coefficient(angle)) == pytest.approx(angle, abs=1e-6)
    assert handle_angle(opening_at(angle)) == pytest.approx(angle)


def test_a_seacock_from_open_to_shut() -> None:
    openings = np.linspace(1, 0.1, 60)
    valves = [Seacock(open=float(o), bore=BORE) for o in openings]
    k = [valve.loss_coefficient(FLOW, SEA) for valve in valves]
    assert np.all(np.diff(k) > 0)
    assert not valves[-1].shut
    shut = Seacock(open=(90 - SHUT_ANGLE) / 90, bore=BORE)
    assert shut.shut
    assert math.isinf(shut.loss_coefficient(FLOW, SEA))
    # Weisbach's measured angles, as the handbook reprints them.
    for angle, added in ((5, 0.05), (20, 1.56), (50, 52.6), (65, 486)):
        assert added_coefficient(angle) == pytest.approx(added)
    # A smaller port costs the step down and up, and lifts what the handle adds.
    narrow, full = (
        Seacock(open=0.6, bore=BORE, port=port).loss_coefficient(FLOW, SEA)
        for port in (0.8 * BORE, BORE)
    )
    assert narrow > full / 0.8**4


def test_check_valve_is_the_only_part_that_holds_water_back() -> None:
    assert CheckValve(bore=BORE).one_way
    others = (Seacock, Hose, Strainer, Condenser, Elbow, Fitting, Intake, Discharge)
    assert not any(kind.one_way for kind in others)


# Manifold tees


@pytest.mark.parametrize("converging", [True, False])
@pytest.mark.parametrize("branch", [0.5, 0.8, 1.0])
def test_header_tees_stay_finite_and_continuous_for_every_split(
    converging: bool, branch: float
) -> None:
    tee = HeaderTee(0.025, 0.025 * branch, 90.0, converging)
    splits = np.linspace(0, 1, 401)
    k = np.array([tee.coefficients(float(s)) for s in splits])
    assert np.isfinite(k).all()
    # Held at the ends of the range.
    assert tee.coefficients(-0.5) == tee.coefficients(0.0)
    assert tee.coefficients(1.5) == tee.coefficients(1.0)
    header = Headers([Header(0.025, (0.025 * branch, 0.025), 90.0, converging)])
    # No loss, and no jump, where the combined flow stands or is reversed.
    flows = np.array([[-3e-5, -7e-5], [0.0, 0.0], [3e-10, 7e-10]])
    assert np.all(np.abs(header.losses(flows[:, None], exact=True)) < 1e-9)


@pytest.mark.parametrize("angle", [30.0, 60.0, 90.0])
@pytest.mark.parametrize("converging", [True, False])
@pytest.mark.parametrize("branch", [0.5, 0.75, 1.0])
def test_header_tees_pieces_are_joined(branch: float, converging: bool, angle: float) -> None:
    """No step where the relation changes to its second piece, and the relation itself outside."""
    tee = HeaderTee(0.025, 0.025 * branch, angle, converging)
    k = [tee.coefficients(float(s))[0] for s in np.linspace(0, 1, 4001)]
    assert np.max(np.abs(np.diff(k))) < 0.02
    relation = fluids.K_branch_converging_Crane if converging else fluids.K_branch_diverging_Crane
    for split in (0.1, 0.4, 0.4101, 0.5, 0.6, 0.6101, 0.9):
        expected = relation(0.025, 0.025 * branch, 1 - split, split, angle)
        assert tee.coefficients(split)[0] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("converging", [True, False])
def test_header_tables_lie_on_their_relations(converging: bool) -> None:
    header = Headers([Header(0.025, (0.02, 0.015, 0.02), 45.0, converging)])
    splits = np.linspace(0.01, 0.98, 57)
    flows = 4e-4 * np.stack([splits, (1 - splits) / 3, 2 * (1 - splits) / 3], axis=1)
    table, exact = (header.losses(flows[:, None], exact) for exact in (False, True))
    assert table == pytest.approx(exact, abs=2e-3 * float(np.max(np.abs(exact))))


@pytest.mark.parametrize("converging", [True, False])
@pytest.mark.parametrize("angle", [30.0, 90.0])
def test_header_slopes_are_those_of_its_losses(angle: float, converging: bool) -> None:
    """Against differences of one millionth, away from the table's corners and with backflow."""
    header = Headers([Header(0.025, (0.02, 0.015, 0.02, 0.01), angle, converging)])
    flows = 1e-4 * np.array(
        [[1.03, 0.57, 1.21, 0.31], [1.03, -0.23, 1.21, 0.31], [-0.5, 1.03, 2, 1]]
    )
    step = 1e-10
    for branch in range(4):
        more, less = flows.copy(), flows.copy()
        more[:, branch] += step
        less[:, branch] -= step
        change = (header.losses(more[:, None], False) - header.losses(less[:, None], False)) / (
            2 * step
        )
        largest = float(np.max(np.abs(change)))
        assert header.slopes(flows[:, None])[..., branch] == pytest.approx(
            change, abs=1e-4 * largest
        )


# Refusals

HOSE = {"kind": "hose", "length": 1.0, "to": 0.0}
UNIT = {"kind": "condenser", "serves": "a", "loss": "1 psi at 1 gpm"}


@pytest.mark.parametrize(
    ("table", "why"),
    [
        ({"kind": "strainer"}, "exactly one of loss, k; none given"),
        ({"kind": "strainer", "k": 1, "loss": "1 psi at 1 gpm"}, "exactly one of loss, k; 2 given"),
        ({"kind": "strainer", "k": 1, "blocked": 1.0}, "out of range"),
        ({"kind": "strainer", "k": -1}, "greater than or equal to 0"),
        ({"kind": "fitting", "k": math.nan}, "finite"),
        (HOSE | {"barb_bore": 0.02}, "cannot be larger"),
        (HOSE | {"via": [{"height": 0.1}, {"at": 0.5, "height": 0.1}]}, "or none"),
        (HOSE | {"via": [{"at": 1.5, "height": 0.1}]}, "inside its length"),
        (UNIT | {"loss": ["1 psi at 2 gpm", "2 psi at 1 gpm"]}, "must rise"),
        (UNIT | {"loss": ["1 psi at 1 gpm", "9 psi at 2 gpm"]}, "has 1 to 2"),
        (UNIT | {"scale": 0.001}, "give tube_bore"),
        (UNIT | {"scale": 0.005, "tube_bore": 0.01}, "would be closed"),
        ({"kind": "elbow", "angle": 0.0}, "out of range"),
        ({"kind": "elbow", "count": 0}, "greater than or equal to 1"),
        ({"kind": "tee", "size": 3}, "Extra inputs"),
    ],
)
def test_a_part_that_cannot_be_is_refused(table: dict[str, Any], why: str) -> None:
    with pytest.raises(ValidationError, match=why):
        ANY.validate_python({"bore": BORE, **table})


def test_a_part_without_a_bore_says_so_and_a_manifold_loses_nothing_itself() -> None:
    with pytest.raises(ValueError, match="the tee has no bore"):
        ANY.validate_python({"kind": "tee"}).loss_coefficient(FLOW, SEA)
    branch = {"name": "a", "part": [{"kind": "tee", "bore": BORE}]}
    manifold = ANY.validate_python({"kind": "manifold", "branch": [branch]})
    assert isinstance(manifold, Manifold)
    assert manifold.head_loss(FLOW, SEA) == 0
    with pytest.raises(NotImplementedError):
        Part(kind="none", bore=BORE).loss_coefficient(FLOW, SEA)


def test_elbow_angle_matters() -> None:
    assert Elbow(bore=BORE, angle=math.pi / 4).head_loss(FLOW, SEA) < Elbow(bore=BORE).head_loss(
        FLOW, SEA
    )


@pytest.mark.parametrize("roughness", [0.0, 1e-3, 0.03])
def test_friction_parts_from_the_library_only_where_that_steps(roughness):
    for number in (500.0, 2039.0, 3000.0, 1e4, 1e6):
        assert friction_factor(number, roughness) == fluids.friction_factor(number, roughness)
    for number in (2050.0, 2300.0, 2700.0, 2990.0):
        ours, theirs = friction_factor(number, roughness), fluids.friction_factor(number, roughness)
        # Between the laminar law and the library's turbulent one, so never more than its step away.
        assert 64 / number < ours < theirs
        assert theirs / ours < 2.3
