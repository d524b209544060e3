"""A layout: what paths and falling legs depend on, and nothing else."""

from typing import Any

import numpy as np
import pytest

from loop.hydraulics import Network, build
from loop.hydraulics.find_legs import _found
from loop.hydraulics.layout import Layout
from loop.hydraulics.line_profile import _profiles, profiles
from tests.loops import DEEP_FRAME, job_of
from tests.sizable import sizable

# Changes of the loop with a frame over which its hose is led, by the number of the part.
PLACES: dict[str, tuple[tuple[str | int, str, Any], ...]] = {
    "a hose's end": ((8, "to", "12 in"),),
    "a hose's length": ((10, "length", "9 ft"),),
    "a point of a hose": ((8, "via", ["-4 in", "-40 in"]),),
    "the intake's height": ((1, "height", "-62 in"),),
    "the intake's place": ((1, "off_centre", "30 in"),),
    "the pump's place": ((6, "fore_aft", "5 ft"),),
    "the outlet's height": ((10, "to", "9 in"), (11, "height", "9 in")),
    "a vented loop for a bleed": ((7, "kind", "vented loop"),),
    "the boat's heel": (("boat", "heel", "12 deg"),),
    "a branch's valve": ((2, "open", "0 %"),),
}
SIZES: dict[str, tuple[tuple[str | int, str, Any], ...]] = {
    "a hose's bore": ((10, "bore", "1 in"),),
    "a strainer's dirt": ((4, "blocked", "50 %"),),
    "the pump": ((6, "curve", "demo-ac-700"),),
    "the water": (("water", "temperature", "60 degF"),),
}


def network_of(*changes: tuple[str | int, str, Any]) -> Network:
    return build(job_of(*DEEP_FRAME, *changes))


def same_as_fresh(network: Network) -> None:
    """Its paths, sections and legs are those that are found when nothing is known yet."""
    known = profiles(network)
    for cached in (_profiles, _found):
        cached.cache_clear()
    fresh = build(network.job)
    assert (network.sections, network.legs) == (fresh.sections, fresh.legs)
    assert known == profiles(fresh)


@pytest.mark.parametrize("name", PLACES)
def test_another_place_is_another_layout(name: str) -> None:
    before, after = network_of(), network_of(*PLACES[name])
    assert before.legs
    assert Layout(before) != Layout(after)
    same_as_fresh(after)


@pytest.mark.parametrize("name", SIZES)
def test_another_size_is_the_same_layout(name: str) -> None:
    before, after = network_of(), network_of(*SIZES[name])
    assert Layout(before) == Layout(after)
    assert hash(Layout(before)) == hash(Layout(after))
    same_as_fresh(after)


def test_a_section_ends_where_the_bore_changes() -> None:
    before = network_of((8, "bore", "1 in"), (10, "bore", "1 in"))
    after = network_of((8, "bore", "1 in"))
    assert {section.bore for section in before.sections} == {0.0254}
    assert {section.bore for section in after.sections} == {0.0254, 0.01905}
    same_as_fresh(after)


@pytest.mark.parametrize("seed", range(8))
def test_random_loops_have_their_own_legs(seed: int) -> None:
    rng = np.random.default_rng(seed)
    for job in [sizable(rng) for _ in range(4)]:
        same_as_fresh(build(job))
        same_as_fresh(build(job.at_speed(3.0)))
