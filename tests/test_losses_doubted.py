"""Rated losses that hardly any condenser or strainer has: a slipped decimal point, or fouling."""

import pytest

from loop.check import check
from loop.words.first_lines import first_lines
from tests.loops import check_of, found, job_of, said

CODE = "loss-doubtful"
TUBE = (9, "tube_bore", "12 mm")


@pytest.mark.parametrize(
    ("part", "loss", "case"),
    [
        (9, "22 psi at 240 gal/h", "condenser"),
        (9, "12.4 psi at 180 gal/h", "condenser"),
        # As published for some: at 3 and at 4 gal/min per ton.
        (9, "5.4 psi at 180 gal/h", None),
        (9, "10.7 psi at 240 gal/h", None),
        (4, "12 psi at 300 gal/h", "strainer"),
        (4, "1 psi at 300 gal/h", None),
        # In L/h: at the 180 gal/h that the unit needs it would lose over 2 psi.
        (4, "0.4 psi at 300 L/h", "strainer"),
    ],
)
def test_a_loss_far_over_what_is_sold_is_doubted(part: int, loss: str, case: str | None) -> None:
    result = check(job_of((part, "loss", loss), (6, "curve", "demo-ac-1500")), fixes=False)
    doubts = found(result, CODE)
    assert [one.values.get("case") for one in doubts] == ([case] if case else [])
    assert all(one.at.part == f"part[{part}]" for one in doubts)


def test_a_small_strainer_in_a_wide_line_is_no_slip() -> None:
    """Its loss is large in velocity heads of the line, but small in itself."""
    small = job_of((4, "bore", "1-1/2 in"), (4, "loss", "0.4 psi at 300 gal/h"))
    assert not found(check(small, fixes=False), CODE)


def test_a_condenser_loses_more_at_more_than_the_usual_flow_of_its_cooling() -> None:
    assert not found(check(job_of((9, "loss", "14 psi at 480 gal/h")), fixes=False), CODE)
    rated = (9, "loss", "14 psi at 240 gal/h")
    half = ("condenser", "cooling", "6000 BTU/h")
    assert found(check(job_of(rated), fixes=False), CODE)
    assert not found(check(job_of(rated, half), fixes=False), CODE)


@pytest.mark.parametrize("dirt", [[(4, "blocked", "95 %")], [TUBE, (9, "scale", "2.5 mm")]])
def test_dirt_that_the_file_states_is_no_doubt_of_its_figure(
    dirt: list[tuple[int, str, str]],
) -> None:
    assert not found(check(job_of(*dirt), fixes=False), CODE)


@pytest.mark.parametrize(("part", "loss"), [(9, "22 psi at 240 gal/h"), (4, "12 psi at 300 gal/h")])
def test_the_figure_is_looked_up_before_anything_is_bought_for_it(part: int, loss: str) -> None:
    result = check_of((part, "loss", loss))
    lines = first_lines(result.findings, result.job)
    assert lines is not None
    assert lines.fix.startswith(said(result, CODE).first_fix)
    (short,) = found(result, "flow-short")
    # No pump is made for a coil that would take 38 ft at 207 gal/h, as 22 psi at 240 gal/h does.
    assert bool(short.actions) is (part == 4)
    assert (len(lines.fix) > len(said(result, CODE).first_fix)) is (part == 4)


def test_where_nothing_helps_the_doubtful_figure_is_looked_up_first() -> None:
    """A coil of 2.2 psi at 24 gal/h for 240: no hose, and no pump that is made, is enough."""
    result = check_of((9, "loss", "2.2 psi at 24 gal/h"))
    lines = first_lines(result.findings, result.job)
    assert lines is not None
    assert not found(result, "flow-short")[0].actions
    assert lines.fix == said(result, CODE).first_fix


@pytest.mark.parametrize(
    ("part", "loss", "level"),
    [
        # The least of published coils of 1.5 to 5 tons at 3 gal/min per ton, its point slipped.
        (9, "1 psi at 180 gal/h", None),
        (9, "0.1 psi at 180 gal/h", "note"),
        (9, "0.22 psi at 240 gal/h", "note"),
        (9, "0.01 psi at 180 gal/h", "warning"),
        (4, "0.4 psi at 300 gal/h", None),
        (4, "0.1 psi at 300 gal/h", None),
        (4, "0.04 psi at 300 gal/h", "note"),
        (4, "0.004 psi at 300 gal/h", "warning"),
    ],
)
def test_a_loss_far_under_what_is_usual_is_told(part: int, loss: str, level: str | None) -> None:
    doubts = found(check(job_of((part, "loss", loss)), fixes=False), CODE)
    assert [one.level for one in doubts] == ([level] if level else [])


@pytest.mark.parametrize(
    ("part", "loss", "ten_times", "length"),
    [
        (9, "0.22 psi at 240 gal/h", "2.2 psi at 240 gal/h", "90 ft"),
        (4, "0.04 psi at 300 gal/h", "0.4 psi at 300 gal/h", "76 ft"),
    ],
)
def test_where_a_slipped_point_decides_it_is_a_warning(
    part: int, loss: str, ten_times: str, length: str
) -> None:
    """With the right point the unit is short of its margin; with the slipped one it passed."""
    long = (8, "length", length)
    result = check(job_of((part, "loss", loss), long), fixes=False)
    assert [one.level for one in found(result, CODE)] == ["warning"]
    right = check(job_of((part, "loss", ten_times), long), fixes=False)
    assert result.condensers[0].flow_low > result.condensers[0].needed_flow
    assert right.condensers[0].flow_low < right.condensers[0].needed_flow


def test_a_wide_bore_does_not_excuse_a_coil_that_loses_nothing() -> None:
    wide = job_of((9, "bore", "2 in"), (9, "loss", "0.01 psi at 240 gal/h"))
    assert found(check(wide, fixes=False), CODE)


@pytest.mark.parametrize(
    ("changes", "doubted"),
    [
        ([("defaults", "bore", "7.5 in")], True),
        ([(10, "bore", "19 cm")], True),
        ([("defaults", "bore", "75 mm")], True),
        # As wide as anyone runs it, and a sea chest.
        ([("defaults", "bore", "2 in")], False),
        ([(1, "bore", "8 in")], False),
    ],
)
def test_a_hose_far_wider_than_the_pumps_port_is_a_slip(
    changes: list[tuple[str | int, str, str]], doubted: bool
) -> None:
    """A slipped point or wrong unit, with which a long run would lose nothing."""
    result = check(job_of(*changes, (8, "length", "200 ft")), fixes=False)
    assert bool(found(result, "bore-doubtful")) is doubted
    assert result.verdict != "good" or not doubted


def test_a_hose_wider_than_is_fitted_is_told_where_little_hangs_on_it() -> None:
    """75 mm for 0.75 in: in ten feet the right bore serves as well, in two hundred it does not."""
    result = check(job_of(("defaults", "bore", "75 mm")), fixes=False)
    assert [one.level for one in found(result, "bore-doubtful")] == ["note"]
    assert result.verdict == "good"
    right = check(job_of((8, "length", "200 ft")), fixes=False).condensers[0]
    assert right.flow_low < right.needed_flow


HOSES = (3, 5, 8, 10)


@pytest.mark.parametrize(
    ("length", "lining", "doubted"),
    [
        # With barbs it is short of its margin, without them it is not.
        ("78 ft", None, True),
        ("90 ft", None, False),  # its margin is short without them too, and that is said
        ("78 ft", "smooth plastic", False),
        ("10 ft", None, False),
    ],
)
def test_hose_without_barbs_is_doubted_where_it_decides(
    length: str, lining: str | None, doubted: bool
) -> None:
    bare = [(number, "barbs", 0) for number in HOSES]
    lined = [(number, "lining", lining) for number in HOSES if lining]
    result = check(job_of(*bare, *lined, (8, "length", length)), fixes=False)
    assert [one.values["case"] for one in found(result, CODE)] == ["barbs"] * doubted
    if doubted:
        assert result.verdict == "attention"
        with_two = check(job_of((8, "length", length)), fixes=False)
        assert found(with_two, "flow-marginal")


@pytest.mark.parametrize(
    ("barb", "length", "doubted"),
    [
        # The hose's own bore, given for that of the barb in it, where it decides and where not.
        ("3/4 in", "74 ft", True),
        ("0.73 in", "74 ft", True),
        ("3/4 in", "10 ft", False),
        # Thin metal tube, and barbs as they are sold.
        ("0.68 in", "74 ft", False),
        ("0.6 in", "10 ft", False),
    ],
)
def test_barbs_as_wide_as_the_hose_are_doubted_where_they_decide(
    barb: str, length: str, doubted: bool
) -> None:
    job = job_of(*((number, "barb_bore", barb) for number in HOSES), (8, "length", length))
    result = check(job, fixes=False)
    assert [one.values["case"] for one in found(result, CODE)] == ["thin-barbs"] * doubted
    assert result.condensers[0].flow_low > result.condensers[0].needed_flow
    assert result.verdict == ("attention" if doubted else "good")
