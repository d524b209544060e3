"""Starting an empty line: supply, sums of drops, and what a pump's own place in them is."""

import pytest

from loop.hydraulics import Network, build
from loop.margins.start import Rises, fewest_vents, start_head, weakest_shutoff
from tests.loops import job_of


def network(pump: str, supply: str | None = None, lowest: str | None = None) -> Network:
    changes: list[tuple[str | int, str, str]] = [(6, "curve", pump)]
    changes += [(6, "supply", supply)] if supply else []
    changes += [("sizing", "lowest_supply", lowest)] if lowest else []
    return build(job_of(*changes))


@pytest.mark.parametrize(
    ("pump", "supply", "lowest", "share"),
    [
        ("demo-dc-320", None, None, 1.0),
        ("demo-dc-320", None, "6 V", 0.25),  # 12 V pump at half its voltage: a quarter
        ("demo-dc-320", "10 V", "5 V", 0.25),  # the head given is that on 10 V
        ("demo-dc-320", "10 V", "9 V", 0.81),
        ("demo-dc-320", "10 V", "14 V", 1.0),  # a lowest supply above the job's own changes nothing
        ("demo-dc-320", "14 V", "13 V", (13 / 14) ** 2),
        ("demo-ac-350", None, "60 V", 1.0),  # an AC pump's speed follows its frequency
    ],
)
def test_shutoff_head_goes_with_the_square_of_a_dc_pumps_voltage(
    pump: str, supply: str | None, lowest: str | None, share: float
) -> None:
    assert weakest_shutoff(network(pump, supply, lowest), 4.0) == pytest.approx(4.0 * share)


def test_every_drop_counts_at_each_later_rise_and_at_none_before() -> None:
    """Drops 0.1, 0.2, 0.4: at four tops of one height 0, 0.1, 0.3 and 0.7 m come on top."""
    drops = [0.1, 0.2, 0.4, 5.0]
    for tops, expected in (
        ([1.0], 1.0),
        ([1.0, 1.0], 1.1),
        ([1.0, 1.0, 1.0], 1.3),
        ([1.0, 1.0, 1.0, 1.0], 1.7),
        ([1.0, 0.0, 0.0, 0.0], 1.0),
        ([0.0, 1.0, 0.0, 0.2], 1.1),
    ):
        assert start_head(tops, drops[: len(tops)]) == pytest.approx(expected)


def test_fewest_vents_by_hand() -> None:
    """Tops at 1 m with drops of 0.1, 0.3 and 0.2 before the last: 1.6 m as it stands.

    The largest pocket alone brings 1.3; the two largest 1.1; all three 1.0.
    """
    tops, drops = [1.0] * 4, [0.1, 0.3, 0.2, 0.0]
    for limit, vented in (
        (1.6, ()), (1.59, (1,)), (1.3, (1,)), (1.29, (1, 2)), (1.1, (1, 2)), (1.09, (0, 1, 2)),
        (1.0, (0, 1, 2)),
    ):  # fmt: skip
        assert fewest_vents(tops, drops, limit) == vented
    # Where there is no pocket there is nothing to vent, though the rise cannot be had.
    assert fewest_vents([1.0, 1.0, 1.0], [0.0, 0.2, 0.0], 0.5) == (1,)
    assert fewest_vents([1.0, 1.0], [0.0, 0.0], 0.5) == ()


def test_a_pocket_that_no_bleed_vents_stays_and_counts() -> None:
    """Pump at 0 m, with 0.3 m of a leg beyond it; crests at 1 m (drop 0.4) and 1 m (0.2); end 0.5.

    As it stands 1 + 0.3 = 1.3, 1 + 0.7 = 1.7, 0.5 + 0.9 = 1.4. First crest vented: 1.3 and
    0.5 + 0.3 + 0.2 = 1.0.
    """
    way = Rises((0.0, 1.0, 1.0, 0.5), (0.3, 0.4, 0.2, 0.0), (None, 2, 5, None))
    assert way.head == pytest.approx(1.7)
    assert way.ventable == {2, 5}
    assert way.without(frozenset({2})).head == pytest.approx(1.3)
    assert way.without(frozenset({5})).head == pytest.approx(1.7)
    assert way.without(frozenset({2})).ventable == {5}
    assert way.fewest(1.7) == set()
    assert way.fewest(1.3) == {2}
    # 1.3 m at the crests cannot be had with less; the end's 0.5 + 0.3 + 0.2 can, with one more.
    assert way.fewest(1.0) == {2}
    assert way.fewest(0.9) == {2, 5}
    # 1 + 0.3 + 0.7 = 2 m is had without a bleed, the pump's pocket counted once.
    assert Rises((0.0, 1.0, 1.0), (0.3, 0.7, 0.0), (None, 0, None)).fewest(2.0) == set()
