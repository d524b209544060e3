"""Hose: friction, sweeps and barbs, each separately."""

import math
from typing import Any

import fluids
import pytest

from loop.parts import Hose
from loop.parts.friction import friction_factor, reynolds
from loop.seawater import Water

SEA = Water(temperature=20.0, salinity=35.0)
BORE = 0.019
FLOW = 2.5e-4


def k_of(flow: float = FLOW, **more: Any) -> float:
    hose = Hose(**{"bore": BORE, "length": 2.0, "to": 0.0, "barbs": 0, **more})
    return hose.loss_coefficient(flow, SEA)


def test_friction_is_darcys_f_l_over_d() -> None:
    """f at the bore's own Reynolds number and relative roughness: 0.03 mm unless stated."""
    number = reynolds(FLOW, BORE, SEA)
    for lining, height in (
        (None, 3e-5),
        ("smooth rubber", 3e-5),
        ("smooth plastic", 1.5e-6),
        ("ribbed", 1e-3),
    ):
        expected = friction_factor(number, height / BORE) * 2.0 / BORE
        assert k_of(lining=lining) == pytest.approx(expected, rel=1e-12)
    # A roughness of its own goes before the lining's.
    assert k_of(lining="ribbed", roughness=3e-5) == k_of()
    assert k_of(lining="ribbed", roughness=0.0) < k_of(lining="smooth plastic")


def test_a_sweep_is_the_librarys_bend_of_four_bores() -> None:
    """Handbook: `bend_rounded` at the hose's friction factor, radius 4 bores unless stated."""
    factor = friction_factor(reynolds(FLOW, BORE, SEA), 3e-5 / BORE)

    def bend(degrees: float, radii: float) -> float:
        return float(fluids.bend_rounded(Di=BORE, angle=degrees, fd=factor, bend_diameters=radii))

    def sweeps(*turns: float, **more: Any) -> float:
        return k_of(sweeps=[math.radians(turn) for turn in turns], **more) - k_of()

    assert sweeps(90.0) == pytest.approx(bend(90.0, 4.0), rel=1e-9)
    assert sweeps(90.0, bend_radius=4 * BORE) == pytest.approx(sweeps(90.0), rel=1e-9)
    assert sweeps(90.0, bend_radius=1.5 * BORE) == pytest.approx(bend(90.0, 1.5), rel=1e-9)
    # No hose is bent tighter than to its own bore.
    assert sweeps(90.0, bend_radius=0.4 * BORE) == pytest.approx(bend(90.0, 1.0), rel=1e-9)
    # Each sweep adds its own.
    assert sweeps(90.0, 45.0) == pytest.approx(bend(90.0, 4.0) + bend(45.0, 4.0), rel=1e-9)


def test_a_barbed_end_is_steps_in_area_and_two_bores_of_smooth_tube() -> None:
    """K on the barb: (1 − 0.8²)² by Borda–Carnot, a contraction, 2 f; times 1/0.8⁴ on the hose.

    The steps do not depend on flow, so between two flows a barb differs by friction alone.
    """

    def end(flow: float, **more: Any) -> float:
        return (k_of(flow, barbs=3, **more) - k_of(flow, **more)) / 3

    def smooth(flow: float, barb: float) -> float:
        return friction_factor(reynolds(flow, barb, SEA), 0.0)

    for share, given in (
        (0.8, {}),
        (0.8, {"barb_bore": 0.8 * BORE}),
        (0.6, {"barb_bore": 0.6 * BORE}),
    ):
        slow, fast = 1.5e-4, 6e-4
        friction = 2 * (smooth(slow, share * BORE) - smooth(fast, share * BORE))
        assert end(slow, **given) - end(fast, **given) == pytest.approx(
            friction / share**4, rel=1e-6
        )
        steps = end(fast, **given) * share**4 - 2 * smooth(fast, share * BORE)
        contraction = steps - (1 - share**2) ** 2
        assert contraction == pytest.approx(fluids.contraction_sharp(1.0, share), rel=1e-6)
    # A barb as wide as the hose has no steps; its two bores of tube are smooth.
    assert end(FLOW, barb_bore=BORE) == pytest.approx(2 * smooth(FLOW, BORE), rel=1e-9)


def test_a_number_or_a_text_alone_is_a_height_on_the_way() -> None:
    for height in ("50 cm", 0.5):
        (middle, end) = Hose(length=4.0, to=0.1, via=[height]).points
        assert middle == (2.0, 0.5)
        assert end == (4.0, 0.1)
    assert Hose(length=4.0, to=1.0, via=[1]).points[0] == (2.0, 1.0)


def test_a_point_may_lie_anywhere_along_the_longest_hose() -> None:
    hose = Hose.model_validate(
        {
            "length": 200.0,
            "to": 0.0,
            "via": [{"at": 15.0, "height": 1.0}, {"at": 199.0, "height": 0}],
        }
    )
    assert [along for along, _ in hose.points] == [15.0, 199.0, 200.0]
