"""Figures: the lines are those of the result, and the headlines agree with it."""

import math
from datetime import date
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from loop.check import CheckResult, check
from loop.diagnose import drift
from loop.draw import FIGURES, draw
from loop.draw.air import air_headline, pockets
from loop.draw.boxes import text_boxes
from loop.draw.drift import fan
from loop.draw.fouling import air_begins, fouled, solved
from loop.draw.heads import steps
from loop.draw.lines import pump_curve, strainer_factors, system_curve
from loop.draw.pressure import pressures
from loop.draw.scene import Scene
from loop.draw.spread import density, spread
from loop.draw.way import lay_out
from loop.hydraulics import solve
from loop.job import Insert, Put, edit, read_job
from loop.margins.suction import intake_depth
from loop.parts import Hose, Strainer
from loop.units import show
from loop.words import CODES
from loop.words.figures import SAY
from tests.branches import siphoning
from tests.drawn_jobs import (
    CHECKED,
    JOBS,
    VISITS,
    assert_words_apart,
    checked,
    condenser,
    job,
    long,
    network,
    plain,
    pump,
    scene,
)
from tests.loops import job_of
from tests.said import is_said, pattern
from tests.test_flow_paths import SHUT, nested

EXAMPLES = Path(__file__).parent.parent / "examples"

# --- what the figures show -----------------------------------------------------------------------


@pytest.mark.parametrize("name", ["plain", "six units", "thirty", "tiny", "huge", "blocked"])
def test_the_two_curves_meet_at_the_operating_point(name):
    point = checked(name).point
    loop = system_curve(point.network, None, point.shutoff_head * 1.2)
    assert np.all(np.diff(loop.flow) > 0)
    assert np.interp(point.flow, loop.flow, loop.head) == pytest.approx(point.pump_head, rel=5e-3)
    curve = pump_curve(point.network)
    assert np.interp(point.flow, curve.flow, curve.head) == pytest.approx(point.pump_head, rel=5e-3)


def test_the_system_curve_starts_at_the_lift():
    loop = system_curve(checked("plain").point.network, None, 3.0)
    assert loop.flow[0] == 0
    assert loop.head[0] == pytest.approx(5 * 0.0254)


def test_the_system_curve_of_a_leg_that_holds_air_starts_at_the_high_point():
    """Before anything flows the pump fills the line to its top, and the fall returns no head."""
    net = solve(siphoning(0.03)).network
    loop = system_curve(net, None, 4.0)
    assert loop.flow[0] == 0
    assert loop.head[0] == pytest.approx(1.2, abs=0.01)
    assert np.all(np.diff(loop.flow) > 0)
    assert np.all(np.diff(loop.head) > 0)


def test_a_dirty_strainer_lifts_the_system_curve():
    net = checked("plain").point.network
    clean = system_curve(net, None, 4.0)
    dirty = system_curve(net, strainer_factors(net, 0.5), 4.0)
    assert np.interp(1e-4, dirty.flow, dirty.head) > np.interp(1e-4, clean.flow, clean.head)
    assert strainer_factors(checked("smallest").point.network, 0.5) is None


def test_a_shut_loop_has_no_system_curve():
    shut = job(
        [
            {"kind": "intake", "height": "-16 in"},
            {"kind": "seacock", "open": "1 %"},
            {"kind": "pump", "curve": pump()},
            condenser(),
            {"kind": "discharge", "height": "-16 in"},
        ]
    )
    point = solve(shut)
    assert point.flow == 0
    assert len(system_curve(point.network, None, 3.0).flow) == 0
    assert_words_apart(draw(shut, "curves"))
    assert_words_apart(draw(shut, "profile"))


def test_the_spread_lies_about_the_answer_and_within_its_band():
    plain_point = checked("plain").point
    flow = spread(scene("plain")).flow
    assert np.median(flow) == pytest.approx(plain_point.flow, rel=0.01)
    inside = (flow > plain_point.flow_low) & (flow < plain_point.flow_high)
    # The band joins tolerances of two standard deviations each: some 95 in 100.
    assert 0.90 < inside.mean() < 0.99


def test_the_share_of_loops_that_meet_the_need_follows_the_need():
    assert spread(scene("plain")).share == 1.0
    assert spread(scene("blocked")).share < 0.3


def test_density_is_greatest_where_the_values_are():
    at = np.linspace(0.0, 10.0, 201)
    height = density(np.random.default_rng(1).normal(6.0, 0.5, 500), at)
    assert height.max() == 1.0
    assert at[np.argmax(height)] == pytest.approx(6.0, abs=0.2)
    assert height[0] < 1e-6


@pytest.mark.parametrize("name", ["plain", "six units", "thirty", "hundred", "smallest", "tiny"])
def test_the_steps_of_head_add_up_to_the_pumps_head(name):
    total = sum(step.head for step in steps(scene(name)))
    assert total == pytest.approx(checked(name).point.pump_head, rel=1e-6)


def test_every_branch_takes_the_pumps_head():
    for branch in ("branch 1", "branch 2", "branch 6"):
        total = sum(step.head for step in steps(scene("six units", branch=branch)))
        assert total == pytest.approx(checked("six units").point.pump_head, rel=1e-6)


@cache
def round_shut(valve: bool) -> CheckResult:
    """A shut branch whose water arrives by another, or is held there by a check valve."""
    return check(nested(SHUT, valve=valve).job, fixes=False)


@pytest.mark.parametrize("branch", ["a", "a / unit", "a / out", "b"])
@pytest.mark.parametrize("valve", [False, True], ids=["round it", "held"])
def test_heads_held_back_and_run_backwards_add_up_to_the_pumps(branch, valve):
    """A shut valve holds the head between the ends of its line."""
    result = round_shut(valve)
    seen = Scene(result, "us", branch)
    assert sum(step.head for step in steps(seen)) == pytest.approx(result.point.pump_head, abs=1e-6)
    held = [step for step in steps(seen) if step.holds]
    assert bool(held) == (branch != "b")
    if held:
        assert (held[0].name, held[0].detail) == ("seacock", SAY("heads-row-holds"))


@pytest.mark.parametrize(
    ("bore", "row"), [(0.03, "air-may-stay-leg"), (0.045, "air-stays-leg"), (0.02, "air-priming")]
)
def test_the_headline_says_whether_the_last_leg_holds_air(bore, row):
    scene = Scene(check(siphoning(bore), fixes=False), "si")
    said = air_headline(scene, intake_depth(scene.job.intake, scene.job.boat, scene.point.flow))
    taken = sum(leg.head_taken for leg in scene.point.legs)
    head = scene.say(taken, "head") if taken > 0 else None
    assert is_said(said, SAY, row, **({"head": head} if head else {}))


def test_the_headline_names_what_holds_the_water():
    words = draw(round_shut(False), "heads", branch="a / out").get_label()
    assert is_said(words, SAY, "heads-holds-back", part=SAY("heads-the", part="seacock"))
    text = " ".join(words for words, _ in text_boxes(
        draw(round_shut(False), "heads", branch="a / unit")))  # fmt: skip
    flat = " ".join(text.split())
    assert SAY("heads-backwards") in flat
    assert SAY("heads-holds") in flat


@pytest.mark.parametrize(
    "changes",
    [
        [(2, "open", "0 %")],
        [(11, "height", "8 ft"), (10, "to", "8 ft"), (8, "to", "8 ft"), (6, "frequency", "30 Hz")],
    ],
    ids=["shut", "too high"],
)
def test_with_no_flow_the_heads_are_those_of_the_pump_at_none(changes):
    result = check(job_of(*changes), fixes=False)
    assert result.point.flow == 0
    total = sum(step.head for step in steps(Scene(result, "us")))
    assert total == pytest.approx(result.point.shutoff_head, abs=1e-6)


@pytest.mark.parametrize(
    ("file", "row"), [("razorbill.toml", "curves-shortest"), ("guillemot.toml", "curves-nearest")]
)
def test_a_unit_is_called_short_only_where_it_is(file, row):
    result = check(read_job(EXAMPLES / file), fixes=False)
    least = min(result.condensers, key=lambda c: c.flow_low / c.needed_flow)
    assert (least.flow < least.needed_flow) == (row == "curves-shortest")
    assert is_said(draw(result, "curves").get_label(), SAY, row, unit=least.name)


@pytest.mark.parametrize("file", ["sandpiper.toml", "dabchick.toml", "eider.toml"])
def test_the_fouling_figure_says_where_a_leg_begins_to_hold_air(file):
    """One share earlier every leg still runs full; at this one the named hose does not."""
    seen = Scene(check(read_job(EXAMPLES / file), fixes=False), "us")
    begins = air_begins(seen, solved(seen))
    before, there = (
        solve(edit(seen.job, [Put("strainer.blocked", share)])) for share in
        (begins.share - 0.01, begins.share)
    )  # fmt: skip
    assert all(leg.state != "air" and not leg.head_taken for leg in before.legs)
    assert any(leg.head_taken > 0 for leg in there.legs)
    text = " ".join(
        " ".join(words for words, _ in text_boxes(draw(seen.result, "fouling"))).split()
    )
    said = SAY("fouling-air-caption", "us", share=begins.share, hoses=begins.hoses)
    assert said in text
    assert SAY("fouling-air") in text


def test_a_pressure_below_the_airs_is_never_called_nothing():
    """Razorbill's pump draws 0.04 psi below atmospheric, which one digit would hide."""
    result = check(read_job(EXAMPLES / "razorbill.toml"), fixes=False)
    inlet = result.point.pump_inlet.gauge_pressure
    assert -300 < inlet < -100
    words = [text for text, _ in text_boxes(draw(result, "profile"))]
    assert show(inlet, "pressure", "us", 2).replace("-", "−") in words
    assert show(0.0, "pressure", "us") not in words


@pytest.mark.parametrize(
    ("file", "row"),
    [("curlew.toml", "heads-takes"), ("lessons/08-the-bleed.toml", "heads-air-takes")],
)
def test_air_in_a_falling_hose_has_a_step_of_its_own(file, row):
    """The air takes the fall less the friction of the falling piece, as the leg has it."""
    result = check(read_job(EXAMPLES / file), fixes=False)
    found = steps(Scene(result, "us"))
    air = [step for step in found if step.air]
    taken = [leg.head_taken for leg in result.point.legs if leg.head_taken > 0]
    assert [step.head for step in air] == pytest.approx(taken, abs=1e-6)
    assert sum(step.head for step in found) == pytest.approx(result.point.pump_head, abs=1e-6)
    figure = draw(result, "heads")
    largest = max(found, key=lambda step: step.head)
    assert largest.air == (row == "heads-air-takes")
    assert is_said(figure.get_label(), SAY, row)
    text = " ".join(" ".join(words for words, _ in text_boxes(figure)).split())
    assert SAY("heads-air") in text
    assert SAY("heads-air") not in " ".join(words for words, _ in text_boxes(draw(
        checked("plain"), "heads")))  # fmt: skip


def test_small_steps_are_put_together_on_a_page_that_is_full():
    rows = steps(scene("hundred"))
    assert len(rows) == 40
    assert is_said(rows[-1].name, SAY, "heads-smaller")


def test_barbs_are_a_share_of_their_hose():
    rows = [step for step in steps(scene("plain")) if "hose" in step.name]
    assert len(rows) == 4
    assert all(0 < step.barbs < step.head for step in rows)


def test_the_fouling_curve_starts_at_the_answer_and_falls():
    unit = fouled(scene("plain"), solved(scene("plain")))[0]
    result = checked("plain").condensers[0]
    assert unit.flow[0] == pytest.approx(result.flow, rel=2e-3)
    assert unit.condensing[0] == pytest.approx(result.condensing_temperature, abs=0.05)
    assert np.all(np.diff(unit.flow) < 0)
    assert np.all(np.diff(unit.condensing) > 0)
    at_clean = np.interp(result.clean_at, unit.blocked, unit.flow)
    assert at_clean == pytest.approx(result.needed_flow, rel=5e-3)


def test_the_worst_unit_comes_first():
    units = fouled(scene("six units"), solved(scene("six units")))
    spare = [u.flow[0] / u.unit.needed_flow for u in units]
    assert spare[0] == min(spare)


@pytest.mark.parametrize("name", ["plain", "thirty", "six units", "smallest"])
def test_a_way_goes_from_edge_to_edge_without_turning_back(name):
    seen = scene(name)
    way = lay_out(seen.point, seen.path()[1])
    assert way.x[0] == 0
    assert way.x[-1] == pytest.approx(1.0)
    assert np.all(np.diff(way.x) >= 0)
    assert way.heights.max() == pytest.approx(max(p.height for p in way.line.points))
    hoses = [p for p in way.places if isinstance(seen.network.parts[p.index], Hose)]
    by_length = sorted(hoses, key=lambda p: seen.network.parts[p.index].length)
    widths = [round(p.end - p.start, 9) for p in by_length]
    assert widths == sorted(widths)


def test_pockets_lie_on_the_falling_leg_behind_their_high_point():
    seen = scene("holds air")
    (start, end, sure), *_ = pockets(seen, seen.air)
    assert sure
    way = lay_out(seen.point, seen.path()[1])
    x, heights = way.stretch(start, end)
    assert np.all(np.diff(x) >= 0)
    assert np.all(np.diff(heights) <= 1e-9)
    assert heights[0] == pytest.approx(30 * 0.0254)


def test_air_sits_behind_every_high_point_where_the_pump_cannot_start():
    seen = scene("cannot start")
    assert not seen.air.starts
    sure = [pocket for pocket in pockets(seen, seen.air) if pocket[2]]
    tops = [high_point.leg[0] for high_point in seen.air.high_points if not high_point.open_end]
    assert all(any(start <= top <= end for start, end, _ in sure) for top in tops)


def test_pressure_in_the_hose_is_that_of_the_stations_and_of_every_turn():
    seen = scene("holds air")
    way = lay_out(seen.point, seen.path()[1])
    found = pressures(seen, way)
    assert len(found) == len(way.x) == len(way.heights)
    for corner, here in enumerate(way.line.points, 1):
        part = seen.network.parts[here.part]
        if not isinstance(part, Hose) or here.along == part.length:
            at = seen.point.stations[here.part].gauge_pressure
            assert found[corner] == pytest.approx(at, abs=1.0)
    # Water at rest in one hose loses a column of water from its low point to its high one.
    still = scene("no flow")
    line = lay_out(still.point, still.path()[1])
    assert np.all(np.isfinite(pressures(still, line)))


# --- headlines -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "figure", "row", "values"),
    [
        ("plain", "curves", "curves-band", {"needed": "180"}),
        ("no flow", "curves", "curves-none", {"head": "0.3 ft"}),
        ("six units", "curves", "curves-nearest", {"unit": "cabin 6 on the port side"}),
        ("cannot start", "profile", "air-not-primed", {"who": SAY("air-loop")}),
        ("holds air", "profile", "air-stays", {"where": SAY("air-where", height="30 in")}),
        ("shallow", "profile", "air-shallow", {}),
        ("plain", "heads", "heads-takes", {"part": SAY("heads-the", part="condenser")}),
        ("plain", "fouling", "fouling-until", {}),
    ],
)
def test_the_headline_says_the_conclusion(name, figure, row, values):
    assert is_said(draw(checked(name), figure).get_label(), SAY, row, **values)


def test_what_flows_only_once_primed_is_said_to_in_every_headline_of_flow():
    dry = check(read_job(EXAMPLES / "petrel.toml"))
    for figure in ("curves", "fouling"):
        assert is_said(draw(dry, figure).get_label(), SAY, "once-primed")
        assert not is_said(draw(checked("plain"), figure).get_label(), SAY, "once-primed")


def test_a_headline_agrees_with_the_answer():
    unit = checked("plain").condensers[0]
    gallons = 0.003785411784 / 3600  # US gallon an hour [m³/s]
    low, high = round(unit.flow_low / gallons), round(unit.flow_high / gallons)
    said = SAY("curves-band", low=str(low), high=f"{high} gal/h", needed="180")
    assert draw(checked("plain"), "curves").get_label() == said


def test_units_change_the_words_and_not_the_picture():
    us, si = (draw(checked("plain"), "curves", units=system) for system in ("us", "si"))
    assert "L/min" in si.get_label()
    one, other = (figure.axes[0].get_lines()[0].get_xdata() for figure in (us, si))
    assert np.ptp(np.asarray(one)[1:] / np.asarray(other)[1:]) == pytest.approx(0, abs=1e-6)


def test_drift_says_when_the_need_is_reached():
    assert is_said(draw(plain(visit=VISITS), "drift").get_label(), SAY, "drift-below")
    assert is_said(draw(plain(visit=VISITS[:1]), "drift").get_label(), SAY, "drift-one-day")
    low = [{**visit, "readings": {"flow": "150 gal/h"}} for visit in VISITS]
    down = pattern(SAY, "drift-down").fullmatch(draw(plain(visit=low), "drift").get_label())
    assert down["flow"].startswith("15")


def test_sizes_needs_no_more_than_options_a_front_and_a_choice():
    def option(bore: float, margin: float, passes: bool, *codes: str):
        choice = SimpleNamespace(
            pump=pump(), suction_bore=bore, pressure_bore=bore, bores=(bore, bore), count=1,
            arrangement="parallel", barb_bore=None, seacock_bore=None, strainer=None,
        )  # fmt: skip
        return SimpleNamespace(
            choice=choice, margin=margin, power=float("nan"), shutoff_head=3.0, chance=0.95,
            passes=passes, reasons=[SimpleNamespace(code=code) for code in codes],
        )  # fmt: skip

    sized = SimpleNamespace(
        job=JOBS["plain"],
        options=(
            option(0.019, 0.1, True),
            option(0.0127, -0.3, False, "flow-short"),
            option(0.038, 0.3, False, "air-held"),
        ),
        choice=0,
        runner_up=None,
        front=(0,),
    )
    figure = draw(sized, "sizes")
    assert_words_apart(figure)
    words = [text for text, _ in text_boxes(figure)]
    titles = {CODES[code].title.lower() for code in ("flow-short", "air-held")}
    assert {
        *titles,
        SAY("sizes-passes-by", chance="95%"),
        SAY("sizes-before-pump", unit="in"),
    } <= set(words)
    caption = " ".join(" ".join(words).split())
    assert SAY("sizes-told-sure") in caption
    assert SAY("sizes-told-large") in caption
    assert SAY("sizes-told-fast") not in caption
    sized.choice, sized.front = None, ()
    sized.options = sized.options[1:]
    assert draw(sized, "sizes").get_label() == SAY("sizes-none", count=2)


def test_every_figure_has_a_line_that_says_what_it_shows():
    assert set(FIGURES) == {*CHECKED, "energy", "sizes", "drift"}
    assert all(len(words) > 20 for words in FIGURES.values())


def test_long_loops_and_networks_are_what_these_tests_think():
    assert len(long(30).part) == 30
    assert len(network(6).condenser) == 6
    assert any(isinstance(part, Strainer) for part in plain().part)


def test_the_band_of_the_crossing_and_the_fan_are_on_the_page():
    job_ = plain(visit=VISITS)
    found = drift(job_)
    assert found.crosses_high
    ax = draw(job_, "drift").axes[0]
    left, right = ax.get_xlim()
    assert left < date.fromisoformat(found.crosses_low).toordinal()
    assert right > date.fromisoformat(found.crosses_high).toordinal()
    days = np.array([date.fromisoformat(visit.date).toordinal() for visit in found.visits], float)
    line, half = fan(found, days, np.linspace(left, right, 30))
    per_hour = 3600 / 0.003785411784  # US gallons an hour in 1 m³/s
    assert ax.get_ylim()[0] <= max((line - half).min() * per_hour, 0.0)


def test_the_trend_is_unsure_on_every_day_and_least_in_the_middle():
    found = drift(plain(visit=VISITS))
    days = np.array([date.fromisoformat(visit.date).toordinal() for visit in found.visits], float)
    at = np.linspace(days[0] - 100, days[-1] + 100, 41)
    line, half = fan(found, days, at)
    assert np.ptp(np.diff(line)) == pytest.approx(0, abs=1e-12)
    assert half.min() > 0
    assert half.argmin() not in (0, len(half) - 1)


def test_a_loop_that_air_stops_has_no_flow_to_boast_of():
    assert is_said(draw(checked("cannot start"), "curves").get_label(), SAY, "curves-none")


def test_a_fitting_that_takes_the_head_left_over_leaves_just_the_need():
    made = read_job(EXAMPLES / "kittiwake.toml")
    words = " ".join(text for text, _ in text_boxes(draw(check(made, fixes=False), "curves")))
    found = pattern(SAY, "curves-left").search(words)
    assert found
    need = made.needed_flow
    head = " ".join(found["head"].split()[-2:])
    taken = {"kind": "fitting", "loss": f"{head} at {show(need, 'flow', 'us')}"}
    after = edit(made, [Insert("part[11]", taken)])
    assert solve(after).flow == pytest.approx(need, rel=0.02)


def test_a_loop_that_is_short_misses_head_at_the_need():
    result = check(read_job(EXAMPLES / "sandpiper.toml"), fixes=False)
    assert result.condensers[0].flow < result.condensers[0].needed_flow
    words = " ".join(text for text, _ in text_boxes(draw(result, "curves")))
    assert pattern(SAY, "curves-missing").search(words)
    assert not pattern(SAY, "curves-left").search(words)


def test_no_cleaning_point_where_a_unit_is_short_with_a_clean_strainer():
    result = check(read_job(EXAMPLES / "razorbill.toml"), fixes=False)
    words = " ".join(text for text, _ in text_boxes(draw(result, "fouling")))
    assert pattern(SAY, "fouling-short").search(" ".join(words.split()))
    assert not pattern(SAY, "fouling-sign").search(words)


def test_the_cleaning_point_is_the_one_that_the_check_names():
    unit = checked("plain").condensers[0]
    words = " ".join(text for text, _ in text_boxes(draw(checked("plain"), "fouling")))
    sign = pattern(SAY, "fouling-sign", clean=f"{math.floor(100 * unit.clean_before)}%")
    assert sign.search(words)
