"""What a file omits, and what no hose or pump fixes, is reported at the top of the answer."""

from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from loop.check import check
from loop.cli import app
from loop.job import all_parts, parse_job
from loop.size.least_change import least_change
from loop.size.rules import Rules
from loop.tolerances import NAMEPLATE_FLOW, PUMP_FLOW, Tolerance
from loop.words.actions import LowerIntake, MoveIntake
from loop.words.check_report import SAY as CHECK
from loop.words.first_lines import ASKED, MOVES, all_well, first_lines
from loop.words.said import say
from loop.words.size_report import SAY as SIZE
from tests.loops import check_of, codes, found, job_of, plain_loop

PLATED = {
    "name": "plated",
    "drive": "dc",
    "rated_supply": "12 V",
    "port": "3/4 in",
    "curve": {"nameplate": {"flow": "350 gal/h", "head": "11 ft"}},
}
EXAMPLES = Path(__file__).parents[1] / "examples"


def test_a_good_loop_names_what_its_file_does_not_say_of_the_boat() -> None:
    heel, trim = ("boat", "heel", "5 deg"), ("boat", "trim", "0 deg")
    waves = ("boat", "wave_height", "6 in")
    names = MOVES.values()
    assert all_well((), job_of()) == CHECK("good-unsaid", unsaid="{}, {} or {}".format(*names))
    assert all_well((), job_of(heel)) == CHECK("good-unsaid", unsaid="{1} or {2}".format(*names))
    assert all_well((), job_of(heel, trim)) == CHECK("good-unsaid", unsaid="{2}".format(*names))
    assert all_well((), job_of(heel, trim, waves)) == CHECK("good")


def test_a_good_loop_names_the_places_that_its_notes_ask_for() -> None:
    """Its pump, 10 in down, may be farther out than 10 in / sin(6°), but seldom is."""
    boat = [("boat", "heel", "6 deg"), ("boat", "trim", "0 deg"), ("boat", "wave_height", "4 in")]
    result = check_of(*boat, (1, "off_centre", "8 in"), (11, "off_centre", "20 in"))
    assert result.verdict == "good"
    assert "place-unstated" in codes(result)
    unsaid = CHECK("good-unsaid", unsaid=ASKED["place-unstated"])
    assert all_well(result.findings, result.job) == unsaid


FAST = [("boat", "heel", "0 deg"), ("boat", "wave_height", "0 in"), ("boat", "trim", "0 deg")]


@pytest.mark.parametrize(
    ("speed", "height", "told"),
    [("45 knot", "-12 in", True), ("19 knot", "-12 in", False), ("45 knot", "-18 in", False)],
)
def test_how_a_fast_hull_rises_is_asked_for(speed: str, height: str, told: bool) -> None:
    """It draws air at 3 in; a planing hull lifts the intake by a foot."""
    flush = [*FAST, ("boat", "speed", speed), (1, "height", height), (1, "facing", "flush")]
    result = check_of(*flush)
    assert ("rise-unstated" in codes(result)) == told
    assert result.verdict == ("attention" if told else "good")
    assert "rise-unstated" not in codes(check_of(*flush, ("boat", "light_rise", "6 in")))


@pytest.mark.parametrize("trim", ["0.1 deg", "2 deg", "5 deg"])
@pytest.mark.parametrize("fore_aft", ["0 ft", "2 ft"])
def test_trim_does_not_say_how_far_a_fast_hull_rises(trim: str, fore_aft: str) -> None:
    """It rotates the boat; that lifts only the intake, and by less than planing does."""
    flush = [("boat", "speed", "40 knot"), (1, "facing", "flush"), (1, "fore_aft", fore_aft)]
    low, deep = (
        check_of(*FAST[:2], ("boat", "trim", trim), *flush, (1, "height", height),
                 (6, "fore_aft", "0 ft"), (11, "fore_aft", "0 ft"))
        for height in ("-12 in", "-20 in")
    )  # fmt: skip
    assert low.verdict == "attention"
    assert "rise-unstated" in codes(low)
    assert deep.verdict == "good"


def test_an_outlet_that_heel_and_waves_reach_together_is_told() -> None:
    """5 in up, 20 in out at 8 degrees: 2.8 in lower, and half of 6 in waves exceeds the rest."""
    both = [("boat", "heel", "8 deg"), ("boat", "wave_height", "6 in"), (11, "off_centre", "20 in")]
    [told] = [one for one in check_of(*both).findings if one.code == "seacock-missing"]
    assert told.level == "note"
    assert told.values["depth"] == pytest.approx(0.0254 * (20 * 0.13917 + 3 - 5), abs=1e-4)
    for one in both[:2]:
        assert "seacock-missing" not in codes(check_of(one, both[2]))


@pytest.mark.parametrize(("stated", "level"), [(None, "danger"), ("24 V", "warning")])
def test_a_pump_on_a_bank_of_another_voltage_is_told(stated: str | None, level: str) -> None:
    """24 V on a bank of 12.8 V: it is on the bank, unless there is a converter."""
    bank = [("supply", "battery", "100 Ah"), ("supply", "voltage", "12.8 V")]
    pump = [(6, "curve", "demo-dc24-450"), *([(6, "supply", stated)] if stated else [])]
    [told] = [one for one in check_of(*bank, *pump).findings if one.code == "supply-wrong"]
    assert told.level == level
    right = [(6, "curve", "demo-dc-320"), *bank]
    assert "supply-wrong" not in codes(check_of(*right))


@pytest.mark.parametrize(
    ("height", "title"), [("-2 in", "aside-grave-title"), ("-11 in", "aside-title")]
)
def test_a_sizing_says_first_what_no_hose_or_pump_cures(
    height: str, title: str, tmp_path: Path
) -> None:
    """An intake that waves and heel bare, or nearly, is wrong with any pump."""
    text = (EXAMPLES / "kittiwake.toml").read_text(encoding="utf-8")
    bared = tmp_path / "bared.toml"
    bared.write_text(text.replace('height = "-16 in"', f'height = "{height}"'), encoding="utf-8")
    words = ["size", str(bared), "--draws", "100", "--pumps", "demo-ac-350"]
    told = CliRunner().invoke(app, words, env={"COLUMNS": "100"}).output
    assert told.index(SIZE(title)) < told.index("•")
    assert {one for one in ("aside-grave-title", "aside-title") if SIZE(one) in told} == {title}


def test_a_tube_too_fast_for_what_comes_needs_a_wider_one_than_it_is() -> None:
    """Velocity goes as 1/D²: for the limit D · √(velocity / limit)."""
    scoop = [("boat", "speed", "24 knot"), (1, "facing", "forward"), (9, "tube_bore", "0.45 in")]
    result = check_of(*scoop)
    [fast] = [one for one in result.findings if one.code == "tube-fast"]
    speed, limit = fast.values["speed"], fast.values["limit"]
    wanted = 0.45 * 0.0254 * (float(str(speed)) / float(str(limit))) ** 0.5
    assert float(str(fast.values["bore"])) >= wanted * (1 - 1e-9)


def test_a_strainer_too_many_comes_out_and_the_only_one_is_moved() -> None:
    extra = check_of((7, "kind", "strainer"), (7, "loss", "0.4 psi at 300 gal/h"))
    [one] = found(extra, "strainer-after-pump")
    assert one.actions[0].kind == "remove-part"
    alone = check_of(
        (4, "kind", "fitting"),
        (7, "kind", "strainer"), (7, "loss", "0.4 psi at 300 gal/h"),
    )  # fmt: skip
    [one] = found(alone, "strainer-after-pump")
    assert [action.kind for action in one.actions] == ["move-part"]
    # Nothing is missing that would be bought beside the move.
    assert "strainer-missing" not in codes(alone)


def test_strainers_in_the_branches_give_way_to_one_before_the_pump() -> None:
    """One for all branches takes all their water; moved there, one made for a branch does not."""
    data = plain_loop()
    strainer, unit = data["part"].pop(3), data["part"][7]
    branch = [
        {"name": name, "part": [strainer, {**unit, "serves": name}]} for name in ("fore", "aft")
    ]
    data["part"][7] = {"kind": "manifold", "bore": "1 in", "branch": branch}
    data["condenser"] = [{"name": one["name"], "cooling": "6000 BTU/h"} for one in branch]
    job = parse_job(data)
    late = found(check(job), "strainer-after-pump")
    assert len({one.actions[0] for one in late}) == 1
    assert len(late) == 2
    after = late[0].actions[0].apply(job)
    kinds = [part.kind for part in all_parts(after.part)]
    assert kinds.count("strainer") == 1
    assert kinds.index("strainer") < kinds.index("pump")
    assert not {"strainer-missing", "strainer-after-pump"} & codes(check(after, fixes=False))


def test_a_hose_before_the_pump_that_lies_level_is_told() -> None:
    level = check_of((5, "length", "8 ft"), (5, "to", "-12 in"))
    [found] = [one for one in level.findings if one.code == "suction-level"]
    assert found.level == "note"
    assert found.values["length"] == pytest.approx(8 * 0.3048)
    assert not [one for one in check_of().findings if one.code == "suction-level"]


@pytest.mark.parametrize(
    "lifted",
    [
        [("boat", "trim", "4 deg"), (1, "fore_aft", "20 ft")],
        [("boat", "heel", "20 deg"), (1, "off_centre", "4 ft")],
    ],
)
def test_an_intake_that_the_boat_lifts_is_moved_where_it_does_less_or_deeper(
    lifted: list[Any],
) -> None:
    """Either way alone leaves it deep enough: the depth goes with the distance × sin(angle).

    The nearer position first, since no hull can be made deeper.
    """
    found = [one for one in check_of(*lifted).findings if one.code == "intake-shallow"]
    assert [action.kind for action in found[0].actions] == ["move-intake", "lower-intake"]
    for action in found[0].actions:
        after = check(action.apply(job_of(*lifted)), fixes=False)
        assert "intake-shallow" not in {one.code for one in after.findings}, action


@pytest.mark.parametrize(("pump", "half"), [("demo-ac-350", PUMP_FLOW), (PLATED, NAMEPLATE_FLOW)])
def test_a_pump_may_lose_by_wear_but_gains_no_more_than_its_curve_is_uncertain(
    pump: object, half: Tolerance
) -> None:
    for factor, doubted in ((0.8, False), (0.99 + half.half, False), (1.01 + half.half, True)):
        found = codes(check_of((6, "curve", pump), ("fitted", "pump", factor)))
        assert ("baseline-doubtful" in found) == doubted, factor


def test_a_figure_that_is_doubted_is_looked_up_before_a_pump_is_bought() -> None:
    """12 kW for 12,000 BTU/h: 3.4 tons, at 180 gal/h each, on a pump of 350 gal/h."""
    job = job_of(("condenser", "cooling", "12 kW"))
    findings = check(job).findings
    [short], [doubt] = (
        [one for one in findings if one.code == code] for code in ("flow-short", "need-doubtful")
    )
    assert {step.kind for step in short.actions[0].steps} & {"change-pump", "fit-pump-rated"}
    first = first_lines(findings, job)
    assert first is not None
    assert first.fix.startswith(say(doubt, job).first_fix)
    less = check_of(("condenser", "cooling", "6 kW"))  # 307 gal/h: it might be that pump's unit
    assert {"flow-short"} <= codes(less)
    assert "need-doubtful" not in codes(less)


def test_of_warnings_the_doubt_of_a_figure_comes_first() -> None:
    need = ("condenser", "flow_needed", "40 gal/h")
    few = check_of(need, (6, "curve", "demo-ac-200"), (2, "open", "70 %"))
    serious = [one.code for one in few.findings if one.level == "warning"]
    assert serious[0] == "need-doubtful"
    assert len(serious) > 1


def test_a_worn_pump_is_renewed_and_a_new_one_is_not_worn() -> None:
    """By its baseline it runs at 0.75 of its curve; the same pump new restores the loop."""
    worn, new = job_of(("fitted", "pump", 0.75)), check_of()
    [short] = [one for one in check(worn).findings if one.code == "flow-short"]
    first = short.actions[0]
    assert first.kind == "change-pump"
    mended = first.apply(worn)
    assert mended.pump.curve.name == worn.pump.curve.name
    assert check(mended, fixes=False).point.flow == pytest.approx(new.point.flow, rel=1e-9)
    [change] = least_change(Rules(worn))[0]
    assert change.action.apply(worn) == mended


def test_what_the_file_does_not_say_rules_out_no_cure_of_a_shallow_intake() -> None:
    """Twelve feet ahead, trim lifts it 15 in, heel next to nothing: it is moved nearer midship."""
    result = check_of(
        *FAST[:2], ("boat", "trim", "6 deg"), ("boat", "speed", "22 knot"), (1, "height", "-18 in"),
        (1, "off_centre", "12 in"), (1, "fore_aft", "12 ft"),
    )  # fmt: skip
    (shallow,) = found(result, "intake-shallow")
    assert [one.values.get("case") for one in found(result, "rise-unstated")] == ["shallow"]
    first, second = shallow.actions
    assert isinstance(first, MoveIntake)
    assert first.fore_aft is not None
    assert isinstance(second, LowerIntake)


def test_how_a_fast_hull_rises_is_asked_for_of_an_intake_too_shallow_without_it() -> None:
    result = check_of(*FAST, ("boat", "speed", "25 knot"), (1, "height", "-2 in"))
    assert [one.values.get("case") for one in found(result, "rise-unstated")] == ["shallow"]
    (shallow,) = found(result, "intake-shallow")
    assert isinstance(shallow.actions[0], LowerIntake)
