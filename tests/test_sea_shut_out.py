"""The law of open lines: a shut part keeps the sea from the open one, or the boat is hauled."""

import re
from collections.abc import Iterator, Set
from itertools import pairwise

import numpy as np
import pytest

from loop.check import check
from loop.hydraulics import Network, build
from loop.job import Boat, Job, locate, parse_job
from loop.parts import Discharge, Hose, Intake, Manifold, Part, Pump, Seacock, Strainer
from loop.words import Action, hazards, say
from loop.words import actions as do
from loop.words.action_words import action_text
from loop.words.hazards import hazard
from loop.words.speaker import Speaker, called
from tests.loops import Table, changed, plain_loop
from tests.random_jobs import random_job
from tests.test_sheet import two_units

# Hauled out, in whatever words.
ROUGH = Boat.model_validate({"wave_height": "40 in", "light_rise": "4 in"})
OUT = " ".join(hazards.OUT.strip(", ").split()[1:])


def meets(network: Network) -> dict[object, set[object]]:
    """The neighbors of each part, including joints of the network."""
    near: dict[object, set[object]] = {}
    for line in network.lines:
        ends = [("joint", end) if end >= 0 else None for end in (line.start, line.end)]
        run = [one for one in (ends[0], *line.parts, ends[1]) if one is not None]
        for one, other in pairwise(run):
            near.setdefault(one, set()).add(other)
            near.setdefault(other, set()).add(one)
    return near


def flooded(
    network: Network, shut: set[int], plugged: Set[int] = frozenset(), level: float = 0.0
) -> set[object]:
    """Everything that the sea reaches at a given level through openings that are not plugged."""
    near = meets(network)
    left: list[object] = [
        index
        for index, part in enumerate(network.parts)
        if isinstance(part, Intake | Discharge)
        and network.heights[index] <= level
        and index not in plugged
    ]
    seen = set(left)
    while left:
        for other in near[left.pop()]:
            if other not in seen and other not in shut:
                seen.add(other)
                left.append(other)
    return seen


def works(network: Network, speaker: Speaker) -> Iterator[tuple[Action, set[int], bool]]:
    """Actions at every part, with the parts that they open, and whether those come off."""
    near = meets(network)
    for index, address in enumerate(speaker.parts):
        part = network.parts[index]
        if isinstance(part, Manifold) or not speaker.below_water(address):
            continue
        if index + 1 in near[index] and network.heights[index] <= 0:
            yield do.FitValve(address, 0.02, 0.0), {index, index + 1}, False
        yield do.RemovePart(address), {index}, True
        if isinstance(part, Hose):
            yield do.ChangeHose((address,), 0.02), {index}, True
            yield do.FitBleed(address, 0.01), {index}, True
        elif isinstance(part, Strainer):
            yield do.CleanStrainer(address), {index}, True
        elif isinstance(part, Pump):
            yield do.ChangePump(address, "demo-ac-500"), {index}, True
        elif isinstance(part, Discharge):
            yield do.RaiseOutlet(address, 0.15), {index}, True


def named(text: str, network: Network, speaker: Speaker, kind: type[Part] = Seacock) -> set[int]:
    """The seacocks, or parts of another kind, that a text names."""
    return {
        index
        for index, (address, part) in enumerate(zip(speaker.parts, network.parts, strict=True))
        if isinstance(part, kind) and re.search(rf"{speaker.name(address)}\b", text)
    }


def drawn(seed: int) -> Job:
    """A random job with seacocks after some of its hoses, and perhaps at its intake."""
    chance = np.random.default_rng([seed, 77])
    job = random_job(chance, branches=3, depth=seed % 3)
    places = [item for item in locate(job.part) if isinstance(item.part, Hose | Intake)]
    kept = [item for item in places if chance.random() < 0.6]
    fits = [do.FitPart(item.address, "seacock", item.part.inner_bore) for item in kept]
    return do.together(fits).apply(job) if fits else job


@pytest.mark.parametrize("seed", range(40))
def test_what_is_shut_keeps_the_sea_from_what_is_open(seed: int) -> None:
    job = drawn(seed)
    network, speaker = build(job), Speaker(job)
    cocks = {i for i, part in enumerate(network.parts) if isinstance(part, Seacock)}
    for action, opens, off in works(network, speaker):
        text = hazard(action, speaker)
        assert any(first in text for first in (hazards.OFF, hazards.LOCKED, OUT)), action
        if OUT in text or text == hazards.SEACOCK_FIRST:
            # Only if shutting everything that can be shut is not enough.
            usable = cocks - opens if off else cocks
            assert opens & flooded(network, usable), (action, text)
            continue
        shut = named(text, network, speaker)
        assert not (off and shut & opens), (action, text)
        assert not opens & flooded(network, shut), (action, text)


@pytest.mark.parametrize("seed", range(20))
def test_outlets_that_waves_put_under_are_shut_or_plugged_too(seed: int) -> None:
    job = drawn(seed).model_copy(update={"boat": ROUGH})
    network, speaker, crest = build(job), Speaker(job), ROUGH.wave_height / 2
    for action, opens, _ in works(network, speaker):
        text = hazard(action, speaker)
        if OUT in text or text == hazards.SEACOCK_FIRST:
            continue
        if isinstance(action, do.RaiseOutlet):  # its own hole, which is dry at rest
            assert min(network.heights[index] for index in opens) > crest
            continue
        shut, plugged = (named(text, network, speaker, kind) for kind in (Seacock, Discharge))
        assert not opens & flooded(network, shut, plugged, crest - 1e-6), (action, text)


def clogged(boat: Table, *parts: Table, outlet: Table) -> str:
    """What to shut before opening the strainer of the plain loop, for the given outlet."""
    data = changed((10, "to", outlet["height"]))
    data["boat"] = boat
    data["part"][10:] = [*parts, {"kind": "discharge", **outlet}]
    return hazard(do.CleanStrainer("part[4]"), Speaker(parse_job(data)))


@pytest.mark.parametrize(
    ("boat", "outlet", "comes"),
    [
        ({"heel": "25 deg"}, {"height": "4 in", "off_centre": "50 in"}, True),
        ({"trim": "10 deg"}, {"height": "4 in", "fore_aft": "4 ft"}, True),
        ({"wave_height": "6 in"}, {"height": "2.5 in"}, True),
        ({}, {"height": "1.5 in"}, True),  # people step aboard
        ({}, {"height": "3 in"}, False),
        ({"wave_height": "6 in"}, {"height": "4 in"}, False),
        ({"heel": "25 deg"}, {"height": "4 in", "off_centre": "1 in"}, False),
    ],
)
def test_a_strainer_is_opened_with_an_outlet_shut_that_may_come_under(
    boat: Table, outlet: Table, comes: bool
) -> None:
    """With its seacock, or with a plug if it has none."""
    cock = {"kind": "seacock", "label": "outlet seacock"}
    assert (called("outlet seacock") in clogged(boat, cock, outlet=outlet)) == comes
    assert (called("discharge") in clogged(boat, outlet=outlet)) == comes


def test_one_that_heel_and_waves_reach_only_together_is_shut_and_wants_no_plug() -> None:
    """40 in off center at 5° it dips 3.5 in, and the crests are 3 in."""
    boat = {"heel": "5 deg", "wave_height": "6 in"}
    cock = {"kind": "seacock", "label": "outlet seacock"}
    for height, comes in (("5 in", True), ("7 in", False)):
        outlet = {"height": height, "off_centre": "40 in"}
        assert (called("outlet seacock") in clogged(boat, cock, outlet=outlet)) == comes
        assert called("discharge") not in clogged(boat, outlet=outlet)


@pytest.mark.parametrize("seed", range(40))
def test_a_valve_in_a_branch_is_fitted_with_the_sea_shut_out(seed: int) -> None:
    """Wherever water can reach the place, or any part of the branch beyond it."""
    job = drawn(seed)
    low, high = (Speaker(job.model_copy(update={"boat": boat})) for boat in (Boat(), ROUGH))
    network = build(job)
    lines = [item for item in low.parts.values() if item.branch]
    for item in lines:
        address, branch = item.address, item.branch
        if isinstance(item.part, Manifold | Discharge):
            continue
        action = do.FitValve(address, 0.02, 0.0, branch)
        line = item.path[:-1]
        ends = [
            end
            for one in lines
            if one.path[: len(line)] == line
            for end in (one.start, one.end, *[h for _, h in getattr(one.part, "points", ())])
        ]
        index = list(low.parts).index(address)
        for speaker, reach in ((low, 0.0), (high, ROUGH.wave_height / 2 + ROUGH.light_rise)):
            text = hazard(action, speaker)
            assert hazards.OFF in text or OUT in text
            if min(ends) > reach or OUT in text:
                continue
            opens = {index, *({index + 1} & meets(network)[index])}
            assert not opens & flooded(network, named(text, network, speaker)), (action, text)


def high_outlet() -> Table:
    """The plain loop with a last hose too short to hang down to the water."""
    return changed((8, "to", "40 in"), (10, "to", "35 in"), (10, "length", "2 ft"),
                   (11, "height", "35 in"))  # fmt: skip


def test_heel_waves_and_draft_bring_the_water_to_a_spot() -> None:
    data = high_outlet()
    above = do.RemovePart("part[10]")
    for boat, comes in (
        ({}, False),
        ({"wave_height": "6 in"}, False),
        ({"wave_height": "60 in"}, True),
        ({"light_rise": "30 in"}, True),
        ({"heel": "60 deg"}, True),
        ({"trim": "60 deg"}, True),
    ):
        data["boat"] = boat
        data["part"][0] |= {"off_centre": "40 in", "fore_aft": "40 in"}
        text = hazard(above, Speaker(parse_job(data)))
        assert hazards.OFF in text
        assert (called("seacock") in text) == comes, boat


def test_a_valve_says_where_it_goes() -> None:
    job = parse_job(two_units())
    speaker = Speaker(job)
    item = next(item for item in speaker.parts.values() if item.branch and item.part.kind == "hose")
    # Eight inches over the waterline, by the table.
    spot = f"{called(item.label)}, {speaker.about_level(8 * 0.0254)}"
    for branch, unit in ((item.branch, "fore"), (item.branch, ""), ("", "")):
        assert spot in action_text(do.FitValve(item.address, 0.02, 0.5, branch, unit), speaker)
        assert spot in action_text(do.FitOrifice(item.address, 0.02, 9.0, branch, unit), speaker)


def hose_out(seacock: bool) -> Job:
    """The plain loop with its outlet under water, and a narrow hose to it."""
    data: Table = changed(
        (10, "length", "16 ft"),
        (10, "to", "-8 in"),
        (10, "bore", "1/2 in"),
        (11, "height", "-8 in"),
    )
    if not seacock:
        return parse_job(data)
    data["part"].insert(-1, {"kind": "seacock", "label": "discharge seacock"})
    return parse_job(data)


@pytest.mark.parametrize("seacock", [True, False])
def test_a_fix_under_the_waterline_says_how_the_sea_is_kept_out_at_both_ends(seacock: bool) -> None:
    job = hose_out(seacock)
    asked = [
        step
        for finding in check(job).findings
        for action in finding.actions
        for step in action.steps
        if isinstance(step, do.ChangeHose)
    ]
    assert asked
    for action in asked:
        text = hazard(action, Speaker(job))
        assert ("seacock 1" in text and called("discharge seacock") in text) == seacock
        assert (OUT in text) != seacock


def test_a_fix_without_an_action_says_it_too() -> None:
    """The row's own text: the outlet under water stays open if only the intake is shut."""
    for seacock in (True, False):
        job = hose_out(seacock)
        for finding in check(job, fixes=False).findings:
            fix = say(finding, job).fix
            if finding.code == "discharge-under-water":
                assert OUT in fix
            if finding.code == "bore-step":
                assert (OUT in fix) != seacock
                assert (called("discharge seacock") in fix) == seacock


@pytest.mark.parametrize(("length", "hangs"), [("2 ft", False), ("4 ft", True)])
def test_a_hose_long_enough_to_hang_down_to_the_water_needs_the_seacock_shut(
    length: str, hangs: bool
) -> None:
    """A full loop siphons through it: 35 in up, 2 ft of hose end 11 in above the water."""
    job = parse_job(changed((10, "length", length), base=high_outlet()))
    said = hazard(do.RemovePart("part[10]"), Speaker(job))
    assert (called("seacock") in said) == hangs


def test_above_the_water_only_the_pump_has_to_be_off() -> None:
    job = parse_job(high_outlet())
    above = hazard(do.RemovePart("part[10]"), Speaker(job))
    assert hazards.OFF in above
    assert called("seacock") not in above
    assert called("seacock") in hazard(do.RemovePart("part[7]"), Speaker(job))
    assert OUT in hazard(do.RemovePart("part[2]"), Speaker(job))


@pytest.mark.parametrize("action", [do.RemovePart("part[9]"), do.Descale("part[9]")])
def test_a_hose_from_under_water_drops_when_it_comes_off_above(action: Action) -> None:
    """The condenser is above the water, the hose to it comes from the pump below."""
    assert called("seacock") in hazard(action, Speaker(parse_job(plain_loop())))


def test_a_strainer_above_the_water_is_opened_with_the_seacock_shut() -> None:
    """Whatever is full of water siphons over it."""
    job = parse_job(changed((3, "to", "4 in"), (3, "length", "4 ft")))
    assert called("seacock") in hazard(do.CleanStrainer("part[4]"), Speaker(job))
