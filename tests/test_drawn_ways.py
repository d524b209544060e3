"""Figures of a loop's path: air before the pump, all branches, names and shares as in check."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from loop.check import check
from loop.draw import draw, profile_beside
from loop.draw.air import pockets
from loop.draw.boxes import text_boxes
from loop.draw.heads import steps
from loop.draw.scene import Scene
from loop.job import file_numbers, read_job
from loop.parts import Discharge, Manifold
from loop.units import show
from loop.words.figures import SAY
from tests.drawn_jobs import assert_words_apart, checked, scene
from tests.said import is_said

EXAMPLES = Path(__file__).parent.parent / "examples"
INCH, FOOT = 0.0254, 0.3048


@cache
def example(name):
    return check(read_job(EXAMPLES / f"{name}.toml"), fixes=False)


@cache
def drawn(name, figure="profile"):
    """A figure of an example, or of an invented loop; "small" is the profile beside text."""
    result = example(name) if (EXAMPLES / f"{name}.toml").exists() else checked(name)
    return profile_beside(result) if figure == "small" else draw(result, figure)


def words(figure):
    return " ".join(" ".join(text.split()) for text, _ in text_boxes(figure))


def flat(row, point, **values):
    """A label at a high point, on one line."""
    return " ".join(SAY(row, point=SAY("sign-high-point", height=point), **values).split())


# --- air before the pump -------------------------------------------------------------------------


def test_air_in_a_hump_before_the_pump_stands_down_its_falling_leg():
    """Petrel's hose rises to 4 in at 3 ft of its 6 ft and falls to the strainer at −12 in."""
    seen = Scene(example("petrel"), "us")
    air = seen.air
    (start, end, sure), *_ = pockets(seen, air)
    assert sure
    assert (start, end) == pytest.approx((3 * FOOT, 6 * FOOT))
    distances = [point.distance for point in air.profile.points]
    heights = np.interp((start, end), distances, air.profile.heights)
    assert heights == pytest.approx((4 * INCH, -12 * INCH))


@pytest.mark.parametrize("size", ["small", "profile"])
def test_air_in_a_hump_is_drawn_and_named(size):
    figure = drawn("petrel", size)
    assert flat("sign-suction-air", point="4 in", drop="16 in") in words(figure)
    assert_words_apart(figure)


def test_a_hump_under_water_is_in_the_headline():
    result = checked("hump under water")
    assert any(finding.code == "suction-hump" for finding in result.findings)
    figure = drawn("hump under water")
    assert figure.get_label() == SAY("air-before-pump", height="−4 in")
    assert flat("sign-suction-air", point="−4 in", drop="6 in") in words(figure)


# --- every branch --------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["dabchick", "razorbill", "guillemot"])
def test_the_headline_speaks_for_every_branch(name):
    result = example(name)
    worst = show(result.pump.start_head, "head", "us")
    label = drawn(name).get_label()
    assert is_said(label, SAY, "air-priming-any", head=worst)


def test_the_headline_names_the_branch_that_cannot_start():
    label = draw(checked("one branch high"), "profile", branch="branch 2").get_label()
    assert is_said(label, SAY, "air-not-primed", who=SAY("air-branch", branch="branch 1"))


@pytest.mark.parametrize("name", ["dabchick", "guillemot"])
@pytest.mark.parametrize("size", ["small", "profile"])
def test_the_way_drawn_is_named_and_so_is_every_other(name, size):
    result = example(name)
    figure = drawn(name, size)
    text = words(figure)
    followed, _ = Scene(result, "us").path()
    assert SAY("profile-branch", branch=followed) in text
    panels = [ax for ax in figure.axes if ax.get_xlim()[0] > 0.1]
    ways = result.point.network.paths()
    assert len(panels) == len(ways) - 1
    for way, _ in ways:
        assert way[:16] in text
    assert_words_apart(figure)


def test_branches_that_find_no_room_are_named():
    text = words(drawn("twelve units"))
    assert SAY.rows["branches-left"].partition("{")[0].strip() in text
    for number in range(1, 13):
        assert f"branch {number}" in text


# --- names, numbers, shares ----------------------------------------------------------------------


def test_parts_have_the_names_that_check_gives_them():
    result = example("dabchick")
    text = words(drawn("dabchick"))
    labels = [station.label for station in result.point.stations]
    _, way = Scene(result, "us").path()
    assert all(labels[index] in text for index in way)
    rows = {step.name for step in steps(Scene(result, "us"))}
    assert rows - {SAY("heads-to-discharge")} <= set(labels)


def test_numbers_are_places_in_the_job_file():
    job = example("dabchick").job
    numbers = file_numbers(job.part)
    assert numbers[:9] == [str(n) for n in range(1, 10)]
    assert isinstance(job.part[8], Manifold)
    assert numbers[9:13] == ["9.1.1", "9.1.2", "9.1.3", "9.1.4"]
    assert numbers[13] == "9.2.1"
    assert len(numbers) == len(example("dabchick").point.stations)


@pytest.mark.parametrize("name", ["kittiwake", "petrel", "dabchick", "guillemot"])
def test_shares_and_the_lift_make_the_whole_along_every_way(name):
    dock = example(name)
    for result in (dock, check(dock.job.at_speed(6.0), fixes=False)):
        shares_and_lift_are_whole(result)


def shares_and_lift_are_whole(result):
    network = result.point.network
    for _, way in network.paths():
        last = network.parts[way[-1]]
        assert isinstance(last, Discharge)
        lift = max(last.height, 0.0) / (result.pump.head + network.start_head)
        assert sum(result.head_shares[i] for i in way) + lift == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("name", ["dabchick", "kittiwake"])
def test_the_figure_and_the_check_give_a_part_the_same_share(name):
    result = example(name)
    seen = Scene(result, "us")
    rows = {step.name: step.head for step in steps(seen)}
    whole = sum(rows.values())
    labels = [station.label for station in result.point.stations]
    for index in seen.path()[1]:
        if labels[index] in rows:
            share = rows[labels[index]] / whole
            assert share == pytest.approx(result.head_shares[index], abs=1e-6)


def test_heads_have_as_many_digits_in_every_row():
    figure = drawn("thirty", "heads")
    amounts = [text.split(" · ")[0] for text, _ in text_boxes(figure) if " · " in text]
    assert len(amounts) > 5
    assert len({len(amount.partition(".")[2]) for amount in amounts}) == 1


def test_every_colour_of_the_heads_is_explained():
    text = words(drawn("plain", "heads"))
    assert SAY("heads-largest") in text
    assert SAY("heads-lift") in text
    assert SAY("heads-lift") not in words(drawn("smallest", "heads"))


@pytest.mark.parametrize("name", ["hundred", "six units"])
def test_scenes_say_which_unit_a_condenser_serves(name):
    seen = scene(name)
    served = [seen.serves(i) for i, part in enumerate(seen.network.parts)]
    named = [unit for unit in served if unit]
    assert named == ([c.name for c in seen.job.condenser] if name == "six units" else [])


def test_other_branches_have_their_own_flow():
    """Some of these branches end in a hose that others share."""
    result = checked("six units")
    followed, _ = Scene(result, "us").path()
    text = words(drawn("six units"))
    for unit, (name, _) in zip(result.condensers, result.point.network.paths(), strict=True):
        if name != followed:
            said = SAY("branch-out", flow=show(unit.flow, "flow", "us"), height="6 in")
            assert f"{name} {said}" in text
