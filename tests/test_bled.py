"""A bleed to let out air is fitted, or one that draws air removed, before costlier fixes."""

from loop.check import check
from loop.check.work import work
from loop.job import Job, parse_job
from loop.size.least_change import least_change
from loop.size.rules import Rules
from loop.words import say
from loop.words.actions import EvenHose, FitBleed, RemovePart, SetHeights
from tests.loops import Table, changed, found


def at_sea(*changes: tuple[str | int, str, object]) -> Table:
    """A loop with a through-hull deep enough at sea."""
    deep = [(1, "height", "-18 in"), (1, "off_centre", "12 in"), (1, "facing", "forward")]
    return changed(("water", "salinity", 35), *deep, *changes)


def over_two_frames(top: int) -> Job:
    """A hose over two frames up to a unit at 38 in, and down to the outlet.

    The frames reach to `top` [in], 36 in above the deep low point between them.
    """
    low = top - 36
    table = at_sea(
        (1, "height", "-60 in"),
        (3, "length", "4 ft"),
        (3, "to", "-56 in"),
        (5, "to", "-50 in"),
        (8, "length", "36 ft"),
        (8, "via", [f"{top} in", f"{low} in", f"{top} in", f"{low - 2} in"]),
        (8, "to", "38 in"),
        (10, "length", "8 ft"),
        (10, "to", "5 in"),
        (11, "height", "5 in"),
    )
    table["sizing"] = {"pumps": ["demo-ac-500"], "service_blocked": "0 %"}
    return parse_job(table)


def bleed_up_high() -> Job:
    """A unit five feet up with a bleed after it, where the fall to the outlet pulls a vacuum."""
    table = at_sea(
        (8, "length", "9 ft"),
        (8, "to", "60 in"),
        (10, "length", "9 ft"),
        (10, "to", "5 in"),
        (11, "height", "5 in"),
    )
    table["part"].insert(9, {"kind": "bleed"})
    return parse_job(table)


def test_air_that_a_bleed_lets_out_is_let_out_before_a_hose_is_led_anew() -> None:
    job = over_two_frames(-4)
    ways = found(check(job), "flow-short")[0].actions
    assert [type(way) for way in ways] == [FitBleed, EvenHose]
    assert work(job, ways[0]) < work(job, ways[1])
    after = check(ways[0].apply(job), fixes=False)
    assert after.verdict == "good"
    assert after.condensers[0].flow_low >= after.condensers[0].needed_flow


def test_over_the_water_no_bleed_is_offered_where_the_line_drains() -> None:
    result = check(over_two_frames(36))
    assert found(result, "flow-short")
    offered = [step for one in result.findings for way in one.actions for step in way.steps]
    assert not any(isinstance(step, FitBleed) for step in offered)


def test_check_and_size_fit_the_bleed_alike() -> None:
    job = over_two_frames(-4)
    (least,), _ = least_change(Rules(job))
    assert least.action == found(check(job), "flow-short")[0].actions[0]


def test_a_bleed_that_draws_air_is_taken_out_before_the_line_is_led_lower() -> None:
    job = bleed_up_high()
    ways = found(check(job), "bleed-draws-air")[0].actions
    assert [type(way) for way in ways] == [RemovePart, SetHeights]
    assert work(job, ways[0]) < work(job, ways[1])
    assert all(check(way.apply(job), fixes=False).verdict == "good" for way in ways)
    # No instructions for using a bleed that is to be removed.
    assert say(found(check(job), "bleed-draws-air")[0], job).always == ""
