"""Intake, valves and fittings: published coefficients, and each term by hand."""

import math

import fluids
import pytest

from loop.parts import (
    Bleed,
    CheckValve,
    Discharge,
    Elbow,
    Fitting,
    Intake,
    Seacock,
    Strainer,
    Tee,
)
from loop.parts.friction import velocity_head
from loop.parts.seacock import added_coefficient, angle_for, handle_angle, opening_at
from loop.seawater import Water

SEA = Water(temperature=20.0, salinity=35.0)
BORE = 0.019
FLOW = 2.5e-4

# Intake


def test_an_intake_is_a_sharp_entrance_and_its_grate() -> None:
    """Square-edged grille, half open (Blevins): (0.5 · 0.5 + 1 − 0.25)/0.25 = 4 on the face.

    The default face is twice the bore's area: 4/2² = 1. A face of the bore's own area: 4.
    """
    bare, usual, small = (
        Intake(height=-0.5, bore=BORE, **more).loss_coefficient(FLOW, SEA)
        for more in ({"grate_open": 1.0}, {}, {"grate_area": math.pi / 4 * BORE**2})
    )
    assert bare == pytest.approx(fluids.entrance_sharp())
    assert usual - bare == pytest.approx(1.0)
    assert small - bare == pytest.approx(4.0)
    assert Intake(height=-0.5, bore=BORE).grate_face == pytest.approx(math.pi / 2 * BORE**2)


# Valves


@pytest.mark.parametrize(
    ("angle", "added"),
    [
        (5, 0.05), (10, 0.29), (20, 1.56), (30, 5.47),
        (40, 17.3), (50, 52.6), (60, 206.0), (65, 486.0),
    ],
)  # fmt: skip
def test_weisbachs_measurements(angle: float, added: float) -> None:
    """Weisbach's plug cock, as reprinted in section 3 of the handbook."""
    assert added_coefficient(angle) == pytest.approx(added, rel=1e-12)
    assert angle_for(added) == pytest.approx(angle, abs=1e-6)


def test_between_below_and_beyond_weisbachs_angles() -> None:
    """Halfway between two angles the geometric mean; nothing at 0; the last slope past 65°.

    From 60° to 65° the coefficient rises 486/206-fold: by the same factor to 70°, and to 75°.
    """
    assert added_coefficient(15.0) == pytest.approx(math.sqrt(0.29 * 1.56))
    assert added_coefficient(62.5) == pytest.approx(math.sqrt(206 * 486))
    assert added_coefficient(0.0) == 0
    assert added_coefficient(2.5) == pytest.approx(0.025)
    assert added_coefficient(70.0) == pytest.approx(486 * 486 / 206)
    assert added_coefficient(75.0) == pytest.approx(486 * (486 / 206) ** 2)


def test_a_small_angle_is_found_from_what_it_adds() -> None:
    assert angle_for(0.005) == pytest.approx(0.5, abs=1e-9)
    assert angle_for(0.0) == pytest.approx(0.0, abs=1e-9)
    # More than any angle adds is a valve nearly shut.
    assert angle_for(1e9) == pytest.approx(82.0, abs=1e-9)


def test_a_handle_turns_a_quarter_from_open_to_shut() -> None:
    assert [handle_angle(opening) for opening in (1.0, 0.5, 0.0)] == [0.0, 45.0, 90.0]
    assert [opening_at(angle) for angle in (0.0, 45.0, 90.0)] == [1.0, 0.5, 0.0]


def test_a_narrow_port_by_cranes_formula() -> None:
    """Crane TP-410, ball valve with a square step (θ = 180°), β = 0.8, on the larger bore:

    [3 fT + 0.5 (1 − β²) √(sin 90°) + (1 − β²)²]/β⁴, plus the handle's K on the port, times 1/β⁴.
    """

    def k(port: float | None, opening: float = 1.0) -> float:
        return Seacock(open=opening, bore=BORE, port=port).loss_coefficient(FLOW, SEA)

    friction = 3 * fluids.ft_Crane(BORE)
    expected = (friction + 0.5 * 0.36 + 0.36**2) / 0.8**4
    assert k(0.8 * BORE) == pytest.approx(expected, rel=1e-9)
    assert k(None) == k(BORE) == pytest.approx(friction, rel=1e-9)
    half = 0.5  # 45°: half-way between 17.3 and 52.6
    assert k(None, half) - k(None) == pytest.approx(math.sqrt(17.3 * 52.6))
    assert k(0.8 * BORE, half) - k(0.8 * BORE) == pytest.approx(math.sqrt(17.3 * 52.6) / 0.8**4)


# Other fittings


def test_cranes_equivalent_lengths() -> None:
    """Crane TP-410, A-27 to A-30: elbow 30 fT, at 45° 16 fT, run of a tee 20 fT, check 100 fT."""
    friction = fluids.ft_Crane(BORE)
    for part, times in (
        (Elbow(bore=BORE), 30),
        (Elbow(bore=BORE, angle=math.pi / 4), 16),
        (Elbow(bore=BORE, count=2), 60),
        (Tee(bore=BORE), 20),
        (Bleed(bore=BORE), 20),
        (CheckValve(bore=BORE), 100),
    ):
        assert part.loss_coefficient(FLOW, SEA) == pytest.approx(times * friction, rel=1e-9)
    assert Discharge(height=0.1, bore=BORE).loss_coefficient(FLOW, SEA) == 1


def test_a_coefficient_is_so_many_velocity_heads() -> None:
    head = velocity_head(FLOW, BORE)
    for k in (0.0, 0.4, 3.0):
        assert Strainer(k=k, bore=BORE).head_loss(FLOW, SEA) == pytest.approx(k * head)
        assert Fitting(k=k, bore=BORE).head_loss(FLOW, SEA) == pytest.approx(k * head)
    # A third blocked: 1.5 times the speed, 2.25 times the basket's loss, here all of it.
    third = Strainer(k=2.0, bore=BORE, blocked=1 / 3, basket_share=1.0).head_loss(FLOW, SEA)
    assert third == pytest.approx(4.5 * head)


def test_cv_and_kv_are_one_scale() -> None:
    """1 US gal/min at 1 psi of water at 60 °F: Kv = 0.865 Cv (IEC 60534-1)."""
    cv, kv = (Fitting(**{name: value}, bore=BORE).head_loss(FLOW, SEA)
              for name, value in (("cv", 8.0), ("kv", 8.0 * 0.865)))  # fmt: skip
    assert cv == pytest.approx(kv, rel=2e-3)
