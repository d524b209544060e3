"""Actions: what each changes, and the law that it fixes its finding without doing equal harm."""

import random
from collections.abc import Sequence
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from loop.check import CheckResult, check
from loop.job import Job, JobError, edit_text, parse_toml, read_job
from loop.parts import Bleed, Hose
from loop.words import Action
from loop.words.action_words import WORDS
from loop.words.actions import (
    FitBleed,
    FitPumpRated,
    LowerLine,
    MoveBleed,
    SetSupply,
    Together,
    together,
)
from loop.words.base import part_at, start_height
from loop.words.finding import AT_REST, Place
from loop.words.moved import moved
from tests.actions_law import breaches
from tests.checked import checked
from tests.loops import every_finding_speaks, job_of
from tests.random_jobs import random_job
from tests.test_codes import checked as of_code

EXAMPLES = sorted(
    path
    for path in (Path(__file__).parent.parent / "examples").glob("*.toml")
    if "\n[[part]]" in path.read_text(encoding="utf-8")
)


def drawn(seed: int) -> Job:
    """A random job: in line, one manifold, or manifolds in branches; in either system of units."""
    rng = np.random.default_rng([seed, 12])
    job = random_job(rng, branches=3, depth=min(seed % 7 // 3, 2))
    return job.model_copy(update={"units": "us" if seed % 2 else "si"})


@cache
def drawn_check(seed: int) -> CheckResult:
    return check(drawn(seed))


def actions_of(result: CheckResult) -> set[Action]:
    return {action for finding in result.findings for action in finding.actions}


# The law.


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
@pytest.mark.parametrize("units", ["us", "si"])
def test_actions_of_the_examples_hold(path: Path, units: str) -> None:
    every_finding_speaks(checked(path, units))
    assert not list(breaches(checked(path, units)))


def test_actions_of_random_jobs_hold() -> None:
    """One job of every shape in `drawn`, with each finding's text; `test_codes` has every code."""
    for seed in range(7):
        assert list(breaches(drawn_check(seed))) == []
        every_finding_speaks(drawn_check(seed))


def test_what_cures_air_at_rest_starves_no_unit_at_speed() -> None:
    """Of a boat under way, a unit short at speed would lose a twentieth to a raised outlet."""
    result = drawn_check(85_111)
    assert any(AT_REST.items() <= one.values.items() for one in result.findings)
    assert list(breaches(result)) == []


@pytest.mark.extended
@pytest.mark.parametrize("start", range(0, 20_000, 100))
def test_actions_of_very_many_random_jobs_hold(start: int) -> None:
    seeds = range(start, start + 100)
    for seed in seeds:
        result = check(drawn(seed))
        every_finding_speaks(result)
        assert list(breaches(result)) == [], seed


# What an action does.


# The fixes of these include every kind that a small loop needs.
_OFFERED = (
    "flow-short", "flow-excess", "no-flow", "intake-shallow", "intake-facing-aft", "suction-hump",
    "strainer-above-water", "start-head-short", "discharge-under-water", "discharge-high",
    "part-order", "bleed-in-sag", "supply-wrong",
)  # fmt: skip


def test_every_kind_is_offered_somewhere() -> None:
    seen: set[str] = set()
    kinds = {action.kind for action in WORDS}
    for result in (*map(of_code, _OFFERED), drawn_check(2)):
        for action in actions_of(result):
            seen |= {action.kind, *(step.kind for step in action.steps)}
    assert seen <= kinds
    # Kinds that no small loop needs are in the tests below; those only of a sizing in its own.
    assert kinds - seen <= {
        "fit-orifice",
        "change-barbs",
        "change-bore",
        "change-fitting",
        "change-grate",
        "change-strainer",
        "clean-grate",
        "descale",
        "fit-full-bore",
        "fit-vent",
        "lead-round",
    }


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_actions_on_the_text_of_a_file_give_the_same_job(path: Path) -> None:
    """What is printed is what is applied: heights and sizes are rounded in the job's units."""
    job, text = read_job(path), path.read_text(encoding="utf-8")
    for action in actions_of(checked(path)):
        again = parse_toml(edit_text(text, action.edits(job)))
        assert again == action.apply(job)


def test_a_bleed_in_a_hose_parts_it_and_leaves_its_way() -> None:
    job = job_of((8, "via", ["4 ft", "1 ft"]), (8, "length", "21 ft"))
    hose = part_at(job, "part[8]")
    assert isinstance(hose, Hose)
    places = [1.0, 2.5, 4.0]
    cut = Together(tuple(FitBleed("part[8]", along) for along in places)).apply(job)
    kinds = [part.kind for part in cut.part[7:14]]
    assert kinds == ["hose", "bleed", "hose", "bleed", "hose", "bleed", "hose"]
    pieces = [part for part in cut.part[7:14] if isinstance(part, Hose)]
    assert sum(piece.length for piece in pieces) == pytest.approx(hose.length)
    assert sum(piece.barbs for piece in pieces) == hose.barbs + 2 * len(places)

    def way(parts: Sequence[Hose], start: float) -> list[tuple[float, float]]:
        points, distance = [(0.0, start)], 0.0
        for part in parts:
            points += [(distance + at, height) for at, height in part.points]
            distance += part.length
        return points

    start = start_height(job, "part[8]")
    whole, parted = way([hose], start), way(pieces, start)
    for at in np.linspace(0, hose.length, 50):
        heights = [np.interp(at, *zip(*points, strict=True)) for points in (whole, parted)]
        assert heights[0] == pytest.approx(heights[1], abs=1e-9)


def test_places_are_found_again_after_parts_came_and_went() -> None:
    job = job_of((8, "length", "20 ft"))
    for seed in range(50):
        draw = random.Random(seed)
        after = draw.choice([2, 4, 6, 9])
        along = draw.uniform(0.5, 5.5)
        action: Action = together([FitBleed(f"part[{after}]"), FitBleed("part[8]", along)])
        if draw.random() < 0.5:
            action = MoveBleed("part[7]", f"part[{after}]")
        made = action.apply(job)
        for number, part in enumerate(job.part, 1):
            place = moved(Place(part=f"part[{number}]"), action, job)
            if place is None:
                assert isinstance(part, Bleed)
            elif not isinstance(part, Hose):
                assert place.part is not None
                assert part_at(made, place.part) == part


@pytest.mark.parametrize(("count", "how"), [(1, "parallel"), (2, "series"), (3, "parallel")])
def test_a_rated_pump_gives_its_duty(count: int, how: str) -> None:
    job = job_of((6, "count", count), (6, "arrangement", how))
    pump = FitPumpRated("part[6]", 3.0, 2e-4).apply(job).pump
    each = 2e-4 / pump.in_parallel
    assert float(pump.curve.head(each)) * pump.in_series == pytest.approx(3.0)
    assert pump.curve.head_curve.y[0] > float(pump.curve.head(each))


def test_a_pump_rated_along_with_its_supply_is_rated_on_that() -> None:
    """Also if the supply is fixed first and the pump bought afterward."""
    job = job_of((6, "curve", "demo-dc-320"), (6, "supply", "9 V"))
    supply, pump = SetSupply("part[6]", 12.0), FitPumpRated("part[6]", 3.0, 2e-4)
    for order in ((supply, pump), (pump, supply)):
        both = together(order).apply(job).pump
        assert both == pump.apply(supply.apply(job)).pump
        assert both.speed == 1
        assert float(both.curve.head(2e-4)) == pytest.approx(3.0)


def test_a_line_is_lowered_only_where_it_is_higher() -> None:
    job = job_of((8, "via", ["40 in", "4 in"]), (8, "length", "20 ft"))
    action = LowerLine(0.2)
    assert action.parts(job) == ("part[8]",)
    lower = part_at(action.apply(job), "part[8]")
    assert isinstance(lower, Hose)
    assert [height for _, height in lower.points] == [0.2, pytest.approx(4 * 0.0254), 0.2]


def test_an_action_on_another_job_is_an_error() -> None:
    with pytest.raises(JobError, match=r"part\[40\]"):
        Together((MoveBleed("part[40]", "part[6]"),)).apply(job_of())
