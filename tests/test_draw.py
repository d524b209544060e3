"""Figures: nothing written over anything else, colours that survive a photocopy, honest lines."""

import itertools
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import typer
from matplotlib.colors import to_rgb

from loop.check import CheckResult, check
from loop.cli import draw as command
from loop.draw import FIGURES, draw, picture, style
from loop.draw.air import pockets
from loop.draw.fouling import fouled
from loop.draw.heads import steps
from loop.draw.labels import Box, Labels, page_box, text_boxes
from loop.draw.lines import pump_curve, strainer_factors, system_curve
from loop.draw.page import Page, frame
from loop.draw.scene import Scene
from loop.draw.spread import density, spread
from loop.draw.way import head_lines, lay_out
from loop.draw.words import TEXT, clean
from loop.hydraulics import solve
from loop.job import JobError
from loop.parts import Hose, Strainer
from loop.size import size
from tests.drawn_jobs import JOBS, condenser, job, long, network, plain, pump

KITTIWAKE = str(Path(__file__).parent.parent / "examples" / "kittiwake.toml")
CHECKED = ("curves", "profile", "heads", "fouling")
VISITS = [
    {"date": "2026-01-11", "note": "commissioned", "readings": {"flow": "232 gal/h"}},
    {"date": "2026-03-12", "readings": {"flow": "226 gal/h"}},
    {"date": "2026-05-10", "note": "basket cleaned", "readings": {"flow": "214 gal/h"}},
    {"date": "2026-08-18", "readings": {"flow": "204 gal/h"}},
]


@cache
def checked(name: str) -> CheckResult:
    return check(JOBS[name])


def scene(name: str, system: str = "us", branch: str = "") -> Scene:
    return Scene(checked(name), system, branch)  # type: ignore[arg-type]


def assert_words_apart(figure) -> None:
    """No text box overlaps another, and each lies on the page."""
    boxes = text_boxes(figure)
    page = page_box(figure)
    assert len(boxes) > 5
    for text, box in boxes:
        assert box.inside(page), f"{text!r} runs off the page"
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        assert not a.overlaps(b), f"{one!r} overlaps {other!r}"


# --- words ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("figure", CHECKED)
@pytest.mark.parametrize("name", ["smallest", "thirty", "six units", "no flow", "odd title"])
def test_no_words_overlap_or_leave_the_page(name, figure):
    if figure == "fouling" and name == "smallest":
        pytest.skip("it has no strainer to block")
    assert_words_apart(draw(checked(name), figure))


@pytest.mark.extended
@pytest.mark.parametrize("system", ["us", "si"])
@pytest.mark.parametrize("figure", CHECKED)
@pytest.mark.parametrize("name", JOBS)
def test_no_words_overlap_in_any_loop(name, figure, system):
    if figure == "fouling" and name == "smallest":
        pytest.skip("it has no strainer to block")
    assert_words_apart(draw(checked(name), figure, units=system))


@pytest.mark.parametrize("count", [1, 4])
@pytest.mark.parametrize("system", ["us", "si"])
def test_no_words_overlap_in_drift(count, system):
    assert_words_apart(draw(plain(visit=VISITS[:count]), "drift", units=system))


def test_no_words_overlap_in_sizes():
    assert_words_apart(draw(size(plain(sizing={"pumps": ["demo-ac-350"]})), "sizes"))


def test_every_checked_figure_says_something_of_a_network_of_two():
    for figure in CHECKED:
        assert_words_apart(draw(checked("two units"), figure, units="si"))


@pytest.mark.parametrize(("name", "parts"), [("thirty", 30), ("hundred", 100)])
def test_every_part_is_named_under_the_line(name, parts):
    texts = [text for text, _ in text_boxes(draw(checked(name), "profile"))]
    for number in range(1, parts + 1):
        assert any(text.startswith(f"{number} ") for text in texts)


def test_few_parts_are_named_in_full():
    texts = [text for text, _ in text_boxes(draw(checked("plain"), "profile"))]
    for label in checked("plain").point.network.labels:
        assert label in texts


def test_labels_give_up_rather_than_overlap():
    page = Page("Title", "subtitle", "caption", 1.0)
    ax = page.panel(1.0, 0.4, 1.2, 0.5)
    frame(ax, (0, 1), (0, 1), ("", ""))
    labels = Labels(page)
    written = [labels.put(ax, "twelve words", [(0.5, 0.5)]) for _ in range(20)]
    assert written[0] is not None
    assert written[-1] is None
    boxes = [box for text, box in text_boxes(page.figure) if text == "twelve words"]
    assert not any(a.overlaps(b) for a, b in itertools.combinations(boxes, 2))


def test_labels_keep_off_lines_where_there_is_room():
    page = Page("Title", "subtitle", "caption", 3.0)
    ax = page.panel(1.0, 0.4, 6.0, 2.4)
    frame(ax, (0, 1), (0, 1), ("", ""))
    labels = Labels(page)
    labels.avoid(ax, [0.0, 1.0], [0.0, 1.0])
    labels.put(ax, "beside the line", [(0.5, 0.5)], "e n")
    box = next(box for text, box in text_boxes(page.figure) if text == "beside the line")
    points = ax.transData.transform(np.column_stack([np.linspace(0, 1, 500)] * 2))
    assert box.holds(points) == 0


def test_boxes_that_touch_do_not_overlap():
    assert not Box(0, 0, 1, 1).overlaps(Box(1, 0, 2, 1))
    assert Box(0, 0, 1, 1).overlaps(Box(1, 0, 2, 1), pad=0.1)
    assert Box(0, 0, 1, 1).inside(Box(0, 0, 1, 1))
    assert not Box(0, 0, 1.1, 1).inside(Box(0, 0, 1, 1))


def test_shortened_words_fit_and_lose_no_more_than_they_must():
    text = "a strainer with a very long name indeed"
    short = TEXT.shorten(text, 1.0)
    assert TEXT.width(short) <= 1.0
    assert text.startswith(short.rstrip("…").rstrip())
    longer = text[: len(short) + 1]
    assert TEXT.width(f"{longer}…") > 1.0
    assert TEXT.shorten(text, 9.0) == text


def test_characters_that_no_face_has_become_dots():
    assert clean("tug \U0001f6a2\n boat") == "tug · boat"


# --- colours -------------------------------------------------------------------------------------


def lightness(colour: str) -> float:
    """CIE 1976 L* of an sRGB colour (IEC 61966-2-1; CIE 15:2004)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    y = float(np.dot([0.2126, 0.7152, 0.0722], linear))
    return 116 * y ** (1 / 3) - 16 if y > 216 / 24389 else y * 24389 / 27


def test_colours_differ_in_lightness():
    """So that they stay apart in grey, and for any kind of colour blindness."""
    levels = sorted(lightness(c) for c in (*style.LINES, style.MIST))
    assert min(b - a for a, b in itertools.pairwise(levels)) > 13


@pytest.mark.parametrize("colour", [style.INK, style.SOFT, style.RUST])
def test_words_stand_out_from_the_paper(colour):
    """Contrast of at least 4.5 to 1: WCAG 2.1, success criterion 1.4.3."""

    def luminance(c: str) -> float:
        level = lightness(c)
        return ((level + 16) / 116) ** 3 if level > 8 else level * 27 / 24389

    assert (luminance(style.PAPER) + 0.05) / (luminance(colour) + 0.05) > 4.5


# --- files ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", style.FORMATS)
def test_the_same_job_gives_the_same_file(kind):
    job_ = JOBS["plain"]
    assert picture(job_, "profile", kind) == picture(job_, "profile", kind)


@pytest.mark.parametrize(
    ("kind", "start"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")]
)
def test_the_ending_gives_the_kind_of_file(tmp_path, kind, start):
    target = tmp_path / f"figure.{kind}"
    draw(checked("plain"), "curves", target)
    assert target.read_bytes().startswith(start)
    assert list(tmp_path.iterdir()) == [target]


def test_files_hold_no_date():
    assert b"<dc:date>" not in picture(checked("plain"), "heads", "svg")
    assert b"CreationDate" not in picture(checked("plain"), "heads", "pdf")


def test_another_ending_is_refused(tmp_path):
    with pytest.raises(JobError, match=r"figure\.gif: .*\.png, \.svg or \.pdf"):
        draw(JOBS["plain"], "curves", tmp_path / "figure.gif")
    assert not list(tmp_path.iterdir())


def test_a_folder_that_is_not_there_leaves_nothing(tmp_path):
    with pytest.raises(OSError, match="No such file"):
        draw(checked("plain"), "curves", tmp_path / "none" / "figure.png")
    assert not list(tmp_path.iterdir())


def test_a_target_that_cannot_be_replaced_leaves_nothing_beside_it(tmp_path):
    target = tmp_path / "figure.png"
    target.mkdir()
    with pytest.raises(OSError, match="directory"):
        draw(checked("plain"), "curves", target)
    assert list(tmp_path.iterdir()) == [target]


def test_the_command_writes_the_file_and_says_the_headline(tmp_path, capsys):
    target = tmp_path / "kittiwake.svg"
    command.draw(KITTIWAKE, str(target), figure="heads", units="si")
    assert b"<svg" in target.read_bytes()
    said = capsys.readouterr().out
    assert said.startswith(f"{target}: The condenser takes")
    assert " m" in said


def test_the_command_sizes_for_the_figure_of_sizes(tmp_path, capsys):
    command.draw(KITTIWAKE, str(tmp_path / "sizes.png"), figure="sizes")
    assert "options pass" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("name", "figure", "message"),
    [("a.gif", "curves", ".png, .svg or .pdf"), ("a.png", "map", "no figure 'map'")],
)
def test_the_command_refuses_in_a_line(tmp_path, capsys, name, figure, message):
    with pytest.raises(typer.Exit) as end:
        command.draw(KITTIWAKE, str(tmp_path / name), figure=figure)
    assert end.value.exit_code == 2
    assert message in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


# --- mistakes ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "figure", "message"),
    [
        ("plain", "map", "no figure 'map'; figures: curves"),
        ("smallest", "fouling", 'needs a part of kind "strainer"'),
        ("plain", "drift", r"needs \[\[visit\]\] tables"),
        ("plain", "sizes", "needs the answer of a sizing"),
    ],
)
def test_a_figure_with_nothing_to_draw_says_why(name, figure, message):
    with pytest.raises(JobError, match=message):
        draw(JOBS[name], figure)


def test_a_branch_that_is_not_there_names_those_that_are():
    with pytest.raises(JobError, match="no branch 'bow'; branches: branch 1, branch 2"):
        draw(checked("two units"), "profile", branch="bow")
    with pytest.raises(JobError, match="none: it is a single line"):
        draw(checked("plain"), "heads", branch="bow")


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
    assert spread(scene("blocked")).share < 0.1


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


def test_small_steps_are_put_together_on_a_page_that_is_full():
    rows = steps(scene("hundred"))
    assert len(rows) == 40
    assert rows[-1].name.endswith("smaller parts")


def test_barbs_are_a_share_of_their_hose():
    rows = [step for step in steps(scene("plain")) if "hose" in step.name]
    assert len(rows) == 4
    assert all(0 < step.barbs < step.head for step in rows)


def test_the_fouling_curve_starts_at_the_answer_and_falls():
    unit = fouled(scene("plain"))[0]
    result = checked("plain").condensers[0]
    assert unit.flow[0] == pytest.approx(result.flow, rel=2e-3)
    assert unit.condensing[0] == pytest.approx(result.condensing_temperature, abs=0.05)
    assert np.all(np.diff(unit.flow) < 0)
    assert np.all(np.diff(unit.condensing) > 0)
    at_clean = np.interp(result.clean_at, unit.blocked, unit.flow)
    assert at_clean == pytest.approx(result.needed_flow, rel=5e-3)


def test_the_worst_unit_comes_first():
    units = fouled(scene("six units"))
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


def test_pockets_lie_on_the_falling_leg_behind_their_crest():
    seen = scene("holds air")
    (start, end, sure), *_ = pockets(seen.air)
    assert sure
    way = lay_out(seen.point, seen.path()[1])
    x, heights = way.stretch(start, end)
    assert np.all(np.diff(x) >= 0)
    assert np.all(np.diff(heights) <= 1e-9)
    assert heights[0] == pytest.approx(30 * 0.0254)


def test_air_sits_behind_every_crest_where_the_pump_cannot_start():
    seen = scene("cannot start")
    assert not seen.air.starts
    assert len(pockets(seen.air)) == 3


def test_the_heads_of_a_way_are_those_of_its_stations():
    seen = scene("plain")
    way = lay_out(seen.point, seen.path()[1])
    _, total, pressure = head_lines(seen.point, way)
    assert total[-1] == seen.point.stations[-1].total_head
    rises = np.diff(total)[np.diff(total) > 0]
    assert rises == pytest.approx([seen.point.pump_head])
    assert np.all(pressure <= total + 1e-12)


# --- headlines -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "figure", "words"),
    [
        ("plain", "curves", "gal/h where 180 is needed"),
        ("no flow", "curves", "Nothing flows: the pump holds 0.3 ft"),
        ("six units", "curves", "Worst off of 6 units, cabin"),
        ("cannot start", "profile", "It cannot start: the air takes"),
        ("holds air", "profile", "Air stays behind the crest at 30.0 in"),
        ("shallow", "profile", "too shallow at its worst"),
        ("plain", "heads", "The condenser takes"),
        ("plain", "fouling", "Clean the strainer before it is"),
    ],
)
def test_the_headline_says_the_conclusion(name, figure, words):
    assert words in draw(checked(name), figure).get_label()


def test_a_headline_agrees_with_the_answer():
    unit = checked("plain").condensers[0]
    gallons = 0.003785411784 / 3600  # US gallon an hour [m³/s]
    low, high = round(unit.flow_low / gallons), round(unit.flow_high / gallons)
    assert draw(checked("plain"), "curves").get_label() == (
        f"{low} to {high} gal/h where 180 is needed"
    )


def test_units_change_the_words_and_not_the_picture():
    us, si = (draw(checked("plain"), "curves", units=system) for system in ("us", "si"))
    assert "L/min" in si.get_label()
    one, other = (figure.axes[0].get_lines()[0].get_xdata() for figure in (us, si))
    assert np.ptp(np.asarray(one)[1:] / np.asarray(other)[1:]) == pytest.approx(0, abs=1e-6)


def test_drift_says_when_the_need_is_reached():
    assert "falls below the need about" in draw(plain(visit=VISITS), "drift").get_label()
    assert "show no trend yet" in draw(plain(visit=VISITS[:1]), "drift").get_label()
    low = [{**visit, "readings": {"flow": "150 gal/h"}} for visit in VISITS]
    assert "Down to 15" in draw(plain(visit=low), "drift").get_label()


def test_sizes_needs_no_more_than_options_a_front_and_a_choice():
    def option(bore: float, margin: float, passes: bool, reasons: tuple[str, ...] = ()):
        choice = SimpleNamespace(
            pump=pump(), suction_bore=bore, pressure_bore=bore, barb_bore=None, seacock_bore=None,
            strainer=None,
        )  # fmt: skip
        return SimpleNamespace(
            choice=choice, margin=margin, power=float("nan"), shutoff_head=3.0, chance=0.95,
            passes=passes, reasons=reasons,
        )  # fmt: skip

    sized = SimpleNamespace(
        job=JOBS["plain"],
        options=(
            option(0.019, 0.1, True),
            option(0.0127, -0.3, False, ("flow: 3% chance",)),
            option(0.038, 0.3, False, ("air: stays in the hose",)),
        ),
        choice=0,
        runner_up=None,
        front=(0,),
    )
    figure = draw(sized, "sizes")
    assert_words_apart(figure)
    words = [text for text, _ in text_boxes(figure)]
    assert {"flow", "air", "passes, 95%"} <= set(words)
    sized.choice, sized.front = None, ()
    sized.options = sized.options[1:]
    assert draw(sized, "sizes").get_label() == "None of 2 options passes"


def test_every_figure_has_a_line_that_says_what_it_shows():
    assert set(FIGURES) == {*CHECKED, "sizes", "drift"}
    assert all(len(words) > 20 for words in FIGURES.values())


def test_long_loops_and_networks_are_what_these_tests_think():
    assert len(long(30).part) == 30
    assert len(network(6).condenser) == 6
    assert any(isinstance(part, Strainer) for part in plain().part)
