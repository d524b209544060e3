"""Labels on a figure: clear of lines, signs and leaders; and the geometry that checks it."""

import numpy as np
import pytest

from loop.draw.boxes import Box, corners, crossings, passage, struck, text_boxes
from loop.draw.labels import Labels
from loop.draw.page import Page, frame
from tests.drawn_jobs import leaders

SQUARE = Box(1.0, 1.0, 3.0, 3.0)


@pytest.fixture
def panel():
    page = Page("Title", "subtitle", "caption", 3.0)
    ax = page.panel(1.0, 0.4, 6.0, 2.4)
    frame(ax, (0, 1), (0, 1), ("", ""))
    return page, ax


def box_of(page, words):
    return next(box for text, box in text_boxes(page.figure) if text == words)


@pytest.mark.parametrize(
    ("start", "end", "through"),
    [
        ((0, 2), (4, 2), True),  # straight across
        ((0, 0), (4, 4), True),  # corner to corner
        ((2, 2), (2.5, 2.5), True),  # inside it
        ((0, 2), (0.9, 2), False),  # stops before it
        ((3.1, 2), (4, 2), False),  # starts behind it
        ((0, 3.5), (4, 3.5), False),  # passes over it, level
        ((0.5, 0), (0.5, 4), False),  # passes beside it, upright
        ((0, 1.5), (1.5, 0), False),  # cuts the corner of nothing
    ],
)
def test_a_line_runs_through_a_box_or_not(start, end, through):
    line = np.array([start, end], dtype=float)
    assert struck(*line, corners([SQUARE])).tolist() == [through]
    assert struck(*line[::-1], corners([SQUARE])).tolist() == [through]


def test_a_line_enters_and_leaves_where_it_meets_the_edges():
    enters, leaves = passage(np.array([0.0, 2.0]), np.array([4.0, 2.0]), corners([SQUARE]))
    assert (enters[0], leaves[0]) == (0.25, 0.75)


def test_lines_cross_where_they_do():
    others = np.array([[[0, 1], [1, 0]], [[2, 0], [3, 0]], [[0, 3], [3, 0]]], dtype=float)
    assert crossings(np.array([0.0, 0.0]), np.array([2.0, 2.0]), others) == 2
    assert crossings(np.array([0.0, 0.0]), np.array([0.2, 0.2]), others) == 0


@pytest.mark.parametrize("slope", [1, -1])
def test_words_keep_off_a_thick_line_on_a_slope(panel, slope):
    """The pipe is as thick across a slope as it is on the level."""
    page, ax = panel
    y = [0.5 - 0.5 * slope, 0.5 + 0.5 * slope]
    labels = Labels(page)
    labels.avoid(ax, [0.0, 1.0], y, wide=20.0)
    labels.put(ax, "beside the pipe", [(0.5, 0.5)])
    ends = ax.transData.transform(np.column_stack([[0.0, 1.0], y]))
    along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    box = box_of(page, "beside the pipe")
    to_corners = np.array([(box.x0, box.y0), (box.x1, box.y1), (box.x0, box.y1), (box.x1, box.y0)])
    off = (to_corners - ends[0]) @ np.array([-along[1], along[0]])
    half = 10.0 * page.figure.dpi / 72
    assert off.min() > half or off.max() < -half


def test_later_words_keep_off_an_earlier_leader(panel):
    page, ax = panel
    labels = Labels(page)
    labels.occupy(ax, 0.5, 0.5, (30.0, 30.0))
    assert labels.put(ax, "first", [(0.5, 0.5)], "n") is not None
    (leader,) = leaders(page.figure)
    assert labels.put(ax, "second", [tuple(ax.transData.inverted().transform(leader[0]))], "e n w")
    assert not struck(*leader, corners([box_of(page, "second")])).any()


def test_a_leader_starts_at_the_edge_of_its_sign_and_meets_no_other(panel):
    page, ax = panel
    labels = Labels(page)
    labels.occupy(ax, 0.5, 0.5, (30.0, 30.0))
    labels.occupy(ax, 0.5, 0.85, (60.0, 4.0))
    labels.put(ax, "of the sign", [(0.5, 0.5)], "n e")
    signs = corners(labels.taken[-3:-1])
    (leader,) = leaders(page.figure)
    assert not struck(*leader, signs).any()


def test_words_that_need_not_stand_give_up_where_they_would_cover_a_line(panel):
    page, ax = panel
    labels = Labels(page)
    for y in np.linspace(-0.1, 1.2, 60):
        labels.avoid(ax, [0.0, 1.0], [y, y])
    assert labels.put(ax, "a low point", [(0.5, 0.5)], clear=True) is None
    assert labels.put(ax, "a danger", [(0.5, 0.5)]) is not None
