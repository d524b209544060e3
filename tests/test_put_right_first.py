"""Anything misset, dirty or part shut is corrected before anything is fitted or bought."""

import math
from typing import Any

import pytest

from loop.check import CheckResult, check
from loop.job import parse_job
from loop.units import parse
from loop.words import Action
from loop.words.actions import ChangeHose, ChangePump, Descale, SetSupply, SetValve
from tests.loops import Table, found, plain_loop
from tests.test_first_fix import boat

MAIN = {"bore": "1-1/4 in"}


def branch(unit: str, length: str, loss: str, **changes: Any) -> list[Table]:
    """A unit on its branch, with its own outlet."""
    return [
        {"kind": "hose", "length": length, "to": "8 in"},
        {"kind": "condenser", "serves": unit, "loss": loss, **changes},
        {"kind": "hose", "length": "4 ft", "to": "10 in"},
        {"kind": "discharge", "height": "10 in", "off_centre": "20 in"},
    ]


def two_units(port: list[Table], starboard: list[Table], pump: str) -> Table:
    """Two units of one ton each on one pump."""
    return {
        "title": "Two units",
        "units": "us",
        "water": {"temperature": "82 degF"},
        "boat": {"heel": "3 deg", "wave_height": "4 in"},
        "defaults": {"bore": "3/4 in", "lining": "smooth rubber"},
        "condenser": [{"name": name, "cooling": "12000 BTU/h"} for name in ("port", "starboard")],
        "part": [
            {"kind": "intake", "height": "-30 in", "off_centre": "10 in", **MAIN},
            {"kind": "seacock", **MAIN},
            {"kind": "hose", "length": "3 ft", "to": "-24 in", **MAIN},
            {"kind": "strainer", "loss": "0.4 psi at 1500 gal/h", **MAIN},
            {"kind": "hose", "length": "2 ft", "to": "-20 in", **MAIN},
            {"kind": "pump", "curve": pump},
            {"kind": "bleed", **MAIN},
            {"kind": "hose", "length": "4 ft", "to": "-4 in", **MAIN},
            {
                "kind": "manifold",
                "branch": [
                    {"name": "port", "part": port},
                    {"name": "starboard", "part": starboard},
                ],
                **MAIN,
            },
        ],
    }


def first(result: CheckResult, code: str = "flow-short") -> Action:
    return found(result, code)[0].actions[0]


LOSS = "2.2 psi at 240 gal/h"


def test_a_scaled_coil_is_descaled_before_a_valve_is_fitted_in_another_branch() -> None:
    scaled = branch("starboard", "18 ft", LOSS, tube_bore="12 mm", tubes=2, scale="1.6 mm")
    result = check(parse_job(two_units(branch("port", "8 ft", LOSS), scaled, "demo-dc24-900")))
    action = first(result)
    assert isinstance(action, Descale)
    assert check(action.apply(result.job), fixes=False).verdict == "good"
    # The fix for one fixes the other, and no second order is given.
    assert found(result, "unbalanced")[0].actions == (action,)


def test_where_shut_branches_are_too_fast_anyhow_descaling_alone_is_enough() -> None:
    """With one branch shut off the other's water is too fast, before and after: first worst in
    the scaled coil, then in the clean one. Nothing is bought or throttled for that.
    """
    tube = {"tube_bore": "12 mm"}
    ways = branch("port", "8 ft", LOSS, **tube), branch("starboard", "24 ft", LOSS, **tube)
    ways[1][1]["scale"] = "1.2 mm"
    result = check(parse_job(two_units(*ways, "demo-ac-700")))
    action = first(result)
    assert isinstance(action, Descale)
    before, after = (
        found(one, "branch-shut")[0]
        for one in (result, check(action.apply(result.job), fixes=False))
    )
    assert before.level == after.level == "warning"
    assert before.at != after.at


def scaled(port: str, starboard: str, pump: str = "demo-ac-700") -> Table:
    """Two units with scale in both coils."""
    tube = {"tube_bore": "12 mm", "tubes": 2}
    ways = [
        branch(name, "8 ft", LOSS, scale=scale, **tube)
        for name, scale in (("port", port), ("starboard", starboard))
    ]
    return two_units(*ways, pump)


def test_where_both_coils_are_scaled_both_are_descaled_before_anything_is_fitted() -> None:
    result = check(parse_job(scaled("1.4 mm", "1.2 mm")))
    action = first(result)
    assert [step.kind for step in action.steps] == ["descale", "descale"]
    assert check(action.apply(result.job), fixes=False).verdict == "good"
    # No other finding asks for more, or says that no setting of the valves is enough.
    wrong = [one for one in result.findings if one.level != "note"]
    assert {one.code for one in wrong} >= {"cannot-balance", "condensing-high"}
    assert all(one.actions == (action,) for one in wrong)


def test_a_hot_coil_is_descaled_with_the_one_that_would_then_run_short() -> None:
    result = check(parse_job(scaled("1.2 mm", "1.2 mm", "demo-dc24-900")))
    for hot in found(result, "condensing-high"):
        assert [step.kind for step in hot.actions[0].steps] == ["descale", "descale"]


def test_a_valve_is_not_set_beside_scale_that_is_still_to_go() -> None:
    """A valve left part shut, and scale in the other branch, which loses its water there."""
    table = scaled("0 mm", "1.0 mm")
    ways = [way["part"] for way in table["part"][8]["branch"]]
    valve = {"kind": "seacock", "label": "port valve", "open": "28 %"}
    ways[0].insert(1, valve)
    result = check(parse_job(table))
    action = first(result)
    assert [step.kind for step in action.steps] == ["descale", "set-valve"]
    assert isinstance(action.steps[1], SetValve)
    assert action.steps[1].angle == 0
    assert check(action.apply(result.job), fixes=False).verdict == "good"


def test_a_valve_left_part_shut_is_opened_and_nothing_else() -> None:
    valve = {"kind": "seacock", "label": "port valve", "open": "28 %"}
    port = [*branch("port", "8 ft", LOSS), valve]
    port[-2:] = port[:-3:-1]
    table = two_units(port, branch("starboard", "8 ft", LOSS), "demo-ac-700")
    result = check(parse_job(table))
    action = first(result)
    assert isinstance(action, SetValve)
    assert action.angle == 0
    assert check(action.apply(result.job), fixes=False).verdict == "good"
    assert all(one.actions == (action,) for one in found(result, "unbalanced"))


def round_open(length: str, pump: str = "demo-ac-700") -> CheckResult:
    """Two units and a branch without one, whose valve was left open."""
    table = two_units(branch("port", length, LOSS), branch("starboard", length, LOSS), pump)
    way = [
        {"kind": "hose", "length": "3 ft", "to": "10 in"},
        {"kind": "seacock", "label": "bypass valve"},
        {"kind": "discharge", "height": "10 in", "off_centre": "20 in"},
    ]
    table["part"][8]["branch"].append({"name": "bypass", "part": way})
    return check(parse_job(table))


def test_an_open_bypass_is_shut_with_what_else_is_needed() -> None:
    result = round_open("60 ft", "demo-ac-500")
    every = found(result, "flow-short")[0].actions
    assert every
    for action in every:
        (shut,) = (step for step in action.steps if isinstance(step, SetValve))
        assert math.degrees(shut.angle) == 90
        assert len(action.steps) > 1
    # The bypass that takes the water is not told to stay as it is.
    assert found(result, "branch-shut")[0].values["case"] == "bypass-short"


def test_a_bypass_part_shut_is_shut_where_its_balance_leaves_too_little_margin() -> None:
    """Balanced it is nearly shut: the handle goes the whole way, and nothing is bought."""
    table = plain_loop()
    table["water"]["temperature"] = "84 degF"
    table["defaults"]["bore"] = "1-1/4 in"
    table["condenser"] = [{"name": name, "cooling": "16000 BTU/h"} for name in ("port", "bow")]
    ways: list[Table] = [
        {
            "name": unit["name"],
            "part": [
                {"kind": "hose", "length": length, "to": "12 in", "bore": "1 in"},
                {"kind": "condenser", "serves": unit["name"], "loss": LOSS, "bore": "1 in"},
                {"kind": "hose", "length": length, "to": "8 in", "bore": "1 in"},
            ],
        }
        for unit, length in zip(table["condenser"], ("6 ft", "7 ft"), strict=True)
    ]
    bypass = [{"kind": "seacock", "open": "30 %"}, {"kind": "hose", "length": "4 ft", "to": "8 in"}]
    manifold = {"kind": "manifold", "branch": [*ways, {"name": "bypass", "part": bypass}]}
    rise = {"kind": "hose", "length": "4 ft", "to": "-6 in"}
    table["part"][7:] = [
        rise,
        manifold,
        {"kind": "hose", "length": "3 ft", "to": "10 in"},
        {"kind": "discharge", "height": "10 in"},
    ]
    table["part"][0] |= {"height": "-28 in", "grate_area": "4 in^2"}
    table["part"][2] |= {"length": "3 ft", "to": "-22 in"}
    table["part"][4]["to"] = "-20 in"
    table["part"][3]["loss"] = "0.4 psi at 900 gal/h"
    table["part"][5] = {"kind": "pump", "curve": "demo-ac-500", "count": 2}
    result = check(parse_job(table))
    action = first(result)
    assert isinstance(action, SetValve)
    assert math.degrees(action.angle) == 90
    assert check(action.apply(result.job), fixes=False).verdict == "good"


@pytest.mark.parametrize(("pump", "alone"), [("demo-dc24-900", True), ("demo-dc24-450", False)])
def test_low_volts_are_put_right_before_anything_is_bought(pump: str, alone: bool) -> None:
    port = branch("port", "60 ft", LOSS)
    table = two_units(port, branch("starboard", "8 ft", LOSS), pump)
    table["part"][5]["supply"] = "20 V"
    result = check(parse_job(table))
    code = next(one.code for one in result.findings if one.code in ("flow-short", "flow-marginal"))
    steps = first(result, code).steps
    (supply,) = (step for step in steps if isinstance(step, SetSupply))
    assert supply.voltage == 24
    assert (len(steps) == 1) == alone


@pytest.mark.parametrize(
    ("supply", "mended"), [("11.4 V", True), ("11.6 V", True), ("11.7 V", False)]
)
def test_wires_that_take_over_3_percent_are_mended_before_a_pump_is_bought(
    supply: str, mended: bool
) -> None:
    changes = ((6, "curve", "demo-dc-320"), (6, "supply", supply))
    at_12 = check(parse_job(boat(changes[0])), fixes=False).condensers[0].flow_low
    need = 0.99 * at_12 / parse("1 gal/h", "flow")
    job = parse_job(boat(*changes, ("condenser", "flow_needed", f"{need} gal/h")))
    action = first(check(job), "flow-marginal")
    assert (action == SetSupply("part[6]", 12.0)) == mended


def weak(length: str) -> Table:
    """A small DC pump on low voltage, after a basket that is half full."""
    return boat(
        (4, "blocked", "75 %"),
        (6, "curve", "demo-dc-320"),
        (6, "supply", "11.1 V"),
        (8, "length", length),
    )


def test_what_is_dirty_and_short_of_volts_is_put_right_before_anything_is_bought() -> None:
    job = parse_job(weak("24 ft"))
    finding = found(check(job), "flow-short")[0]
    right, bought = finding.actions
    assert [step.kind for step in right.steps] == ["clean-strainer", "set-supply"]
    assert finding.values["brings"] == ("flow-marginal", "")
    # No longer short: it only lacks margin.
    (unit,) = check(right.apply(job), fixes=False).condensers
    assert unit.flow_low < unit.needed_flow <= unit.flow
    assert bought.steps[:2] == right.steps
    assert len(bought.steps) > 2


def test_where_that_leaves_it_short_what_is_bought_goes_with_it() -> None:
    job = parse_job(weak("150 ft"))
    every = found(check(job), "flow-short")[0].actions
    assert every
    assert all(len(one.steps) > 2 for one in every)


def test_a_worn_pump_is_renewed_before_hose_is_bought() -> None:
    table = boat((8, "length", "8 ft"))
    table["fitted"] = {"pump": 0.8}
    result = check(parse_job(table))
    action = first(result, "flow-marginal")
    assert isinstance(action, ChangePump)
    assert action.name == result.job.pump.curve.name


def test_one_hose_that_leaves_no_warning_comes_before_four_valves_that_do() -> None:
    names = ("port", "starboard", "fore", "aft", "far")
    table = two_units([], [], "demo-ac-1500")
    table["condenser"] = [{"name": name, "cooling": "9000 BTU/h"} for name in names]
    ways = [branch(name, "20 ft", "1.6 psi at 200 gal/h") for name in names]
    ways[-1][0] |= {"length": "70 ft", "bore": "1/2 in"}
    every = zip(names, ways, strict=True)
    table["part"][8]["branch"] = [{"name": name, "part": way} for name, way in every]
    for part in table["part"]:
        part |= {"bore": "1-1/2 in"} if "bore" in part else {}
    finding = found(check(parse_job(table)), "flow-short")[0]
    assert isinstance(finding.actions[0], ChangeHose)
    assert [step.kind for step in finding.actions[1].steps] == ["fit-valve"] * 4
    assert finding.values["brings"] == ("", "flow-marginal")


def test_one_hose_that_leaves_nothing_comes_before_two_valves_that_leave_a_warning() -> None:
    """It is hardly more work, and the valves need resetting if the margin proves too small."""
    names = ("port", "starboard", "bridge")
    table = two_units([], [], "demo-ac-1000")
    table["condenser"] = [{"name": name, "cooling": "12000 BTU/h"} for name in names]
    ways = [branch(name, "8 ft", LOSS) for name in names]
    ways[-1][0] |= {"length": "20 ft", "to": "96 in"}
    ways[-1][2] |= {"length": "8 ft", "to": "20 in"}
    ways[-1][3]["height"] = "20 in"
    for part in table["part"][:5]:
        part["bore"] = "1-1/2 in"
    every = zip(names, ways, strict=True)
    table["part"][8]["branch"] = [{"name": name, "part": way} for name, way in every]
    finding = found(check(parse_job(table)), "flow-short")[0]
    assert isinstance(finding.actions[0], ChangeHose)
    assert [step.kind for step in finding.actions[1].steps] == ["fit-valve"] * 2
    assert finding.values["brings"] == ("", "flow-marginal")


@pytest.mark.parametrize(
    ("number", "key", "kind"),
    [(3, "barb_bore", "change-barbs"), (7, "bore", "change-bore"), (4, "bore", "change-bore")],
)
def test_what_is_too_narrow_is_put_right_with_the_valves_that_it_needs_besides(
    number: int, key: str, kind: str
) -> None:
    """One branch is greedy too, so that neither is enough alone: no pump, and no other hose."""
    starboard = branch("starboard", "4 ft", "1 psi at 240 gal/h")
    table = two_units(branch("port", "26 ft", LOSS), starboard, "demo-ac-700")
    for unit, cooling in zip(table["condenser"], ("15000 BTU/h", "9000 BTU/h"), strict=True):
        unit["cooling"] = cooling
    table["part"][number - 1][key] = "3/8 in"
    action = first(check(parse_job(table)))
    assert {step.kind for step in action.steps} == {kind, "fit-valve"}


def test_what_makes_nothing_worse_comes_before_what_does() -> None:
    """Under way a narrow hose; at rest, where the scoop gives nothing, either way leaves less."""
    port = branch("port", "8 ft", LOSS)
    port[0]["bore"] = "3/8 in"
    table = two_units(port, branch("starboard", "8 ft", LOSS), "demo-ac-500")
    table["part"][0]["facing"] = "forward"
    table["boat"] = {**table.get("boat", {}), "speed": "16 knot"}
    for unit, cooling in zip(table["condenser"], ("21000 BTU/h", "9000 BTU/h"), strict=True):
        unit["cooling"] = cooling
    short = found(check(parse_job(table)), "flow-short")[0]
    worse = [bool(some) for some in short.values["worsens"]]
    assert worse == [False, True]


def with_a_washdown(pump: str) -> Table:
    """Two units, and a hose without one that discharges overboard from the same header."""
    open_hose = [
        {"kind": "hose", "length": "4 ft", "to": "10 in"},
        {"kind": "discharge", "height": "10 in", "off_centre": "20 in"},
    ]
    table = two_units(branch("port", "8 ft", LOSS), branch("starboard", "10 ft", LOSS), pump)
    table["part"][8]["branch"].append({"name": "washdown", "part": open_hose})
    return table


def test_where_no_unit_has_its_need_the_branch_without_one_takes_it_and_not_a_short_unit() -> None:
    result = check(parse_job(with_a_washdown("demo-ac-1000")))
    assert all(unit.flow < unit.needed_flow for unit in result.condensers)
    (uneven,) = found(result, "unbalanced")
    assert uneven.values["case"] == "bypass"
    assert check(first(result).apply(result.job), fixes=False).verdict == "good"


def test_a_branch_without_a_unit_is_shut_before_a_pump_is_bought_for_its_water() -> None:
    """The line to the header is too narrow as well: that hose, and a valve that is kept shut."""
    table = with_a_washdown("demo-ac-700")
    for number in (7, 8):
        table["part"][number]["bore"] = "1/2 in"
    result = check(parse_job(table))
    action = first(result)
    assert [step.kind for step in action.steps] == ["fit-valve", "change-hose"]
    assert action.steps[0].angle == pytest.approx(math.pi / 2)
    after = check(action.apply(result.job), fixes=False)
    assert after.verdict == "good"


def test_a_shut_branch_is_opened_with_the_seacock_that_then_leaves_the_others_short() -> None:
    shut = [{"kind": "seacock", "open": "0 %"}, *branch("starboard", "10 ft", LOSS)]
    table = two_units(branch("port", "8 ft", LOSS), shut, "demo-ac-700")
    table["part"][1]["open"] = "27 %"
    result = check(parse_job(table))
    action = first(result)
    assert action.steps == (
        SetValve("part[2]", 0.0),
        SetValve("part[9].branch[2].part[1]", 0.0),
    )
    assert check(action.apply(result.job), fixes=False).verdict == "good"


def test_where_a_balance_is_possible_but_not_needed_a_fast_tube_is_held_by_valves_all_the_same():
    """With the port unit off the starboard one's tube is too fast; both have enough to spare."""
    units = (
        branch("port", "16 ft", "2.2 psi at 300 gal/h"),
        branch("starboard", "10 ft", "1.5 psi at 160 gal/h", tube_bore="0.48 in"),
    )
    result = check(parse_job(two_units(*units, "demo-ac-700")))
    assert {one.level for one in found(result, "unbalanced")} == {"note"}
    (told,) = found(result, "branch-shut")
    assert told.level == "warning"
    after = check(told.actions[0].apply(result.job), fixes=False)
    assert after.verdict == "good"


def test_a_shut_branch_is_opened_with_the_hose_that_is_then_too_narrow_for_all() -> None:
    shut = [{"kind": "seacock", "open": "0 %"}, *branch("starboard", "10 ft", LOSS)]
    table = two_units(branch("port", "8 ft", LOSS), shut, "demo-ac-700")
    for number in (7, 8):
        table["part"][number]["bore"] = "1/2 in"
    table["part"][7]["length"] = "8 ft"
    result = check(parse_job(table))
    short = {unit.name for unit in result.condensers if unit.flow < unit.needed_flow}
    assert short == {"starboard"}
    opened = SetValve("part[9].branch[2].part[1]", 0.0)
    alone = check(opened.apply(result.job), fixes=False)
    assert any(unit.flow < unit.needed_flow for unit in alone.condensers)
    action = first(result)
    assert opened in action.steps
    assert any(isinstance(step, ChangeHose) for step in action.steps)
    assert check(action.apply(result.job), fixes=False).verdict == "good"
