"""A shared line that is too narrow: its hose and header come before another pump."""

from loop.check import CheckResult, check
from loop.job import parse_job
from loop.words.actions import ChangeHose
from tests.loops import Table, codes, found
from tests.test_put_right_first import branch, two_units

LOSS = "2.2 psi at 300 gal/h"
# By their numbers on the main line: all that both units share.
TRUNK = range(9)


def narrow(parts: range, cooling: str, pumps: int = 1, header: str = "4 ft") -> CheckResult:
    """Two units whose shared line has 3/4 in hose in these parts, and 1-1/4 in elsewhere."""
    table = two_units(branch("port", "8 ft", LOSS), branch("starboard", "8 ft", LOSS), "")
    for number in parts:
        table["part"][number].pop("bore", None)
    table["part"][5] |= {"curve": "demo-ac-500", "count": pumps}
    table["part"][7]["length"] = header
    for unit in table["condenser"]:
        unit["cooling"] = cooling
    return check(parse_job(table))


def test_with_the_boat_out_for_the_inlets_the_trunk_goes_along_and_the_pumps_stay() -> None:
    result = narrow(TRUNK, "16000 BTU/h", pumps=2)
    short = found(result, "flow-short")
    assert {"inlet-fast", "suction-fast"} <= codes(result)
    (action,) = {one.actions[0] for one in short}
    assert isinstance(action, ChangeHose)
    assert action.parts == ("part[3]", "part[5]", "part[8]")
    assert {"part[1]", "part[2]", "part[9]"} <= set(action.fittings)
    after = check(action.apply(result.job), fixes=False)
    assert after.verdict == "good"
    # It also fixes the other findings of the suction, and no other order is given for them.
    for code in ("inlet-fast", "suction-fast", "cannot-balance"):
        assert all(one.actions[0] == action for one in found(result, code))


def test_a_header_is_widened_with_its_hose_afloat() -> None:
    result = narrow(range(6, 9), "12000 BTU/h", header="20 ft")
    action = found(result, "flow-short")[0].actions[0]
    assert isinstance(action, ChangeHose)
    assert action.parts == ("part[8]",)
    assert "part[9]" in action.fittings
    after = check(action.apply(result.job), fixes=False)
    assert after.verdict == "good"
    # The header's bore, and not the hose's alone: by itself that hose is no cure.
    alone = ChangeHose(action.parts, action.bore)
    left = check(alone.apply(result.job), fixes=False)
    assert min(one.flow_low for one in left.condensers) < min(
        one.flow_low for one in after.condensers
    )


def far_header(bore: str) -> Table:
    """Three units, two of them on their own header at the end of a long run of this bore."""

    def unit(name: str, length: str, low: str) -> list[Table]:
        return [
            {"kind": "hose", "length": length, "to": "12 in"},
            {"kind": "condenser", "serves": name, "loss": "1.5 psi at 160 gal/h"},
            {"kind": "hose", "length": length, "to": low},
        ]

    ends = [{"name": name, "part": unit(name, "6 ft", "4 in")} for name in ("fore", "aft")]
    run = {"kind": "hose", "length": "30 ft", "bore": bore}
    far = [{**run, "to": "0 in"}, {"kind": "manifold", "bore": bore, "branch": ends}]
    table = two_units(unit("near", "6 ft", "6 in"), [*far, {**run, "to": "6 in"}], "demo-ac-1000")
    table["condenser"] = [{"name": one, "cooling": "9000 BTU/h"} for one in ("near", "fore", "aft")]
    wide = {"bore": "1-1/4 in"}
    table["part"] += [
        {"kind": "hose", "length": "3 ft", "to": "10 in", **wide},
        {"kind": "discharge", "height": "10 in", "off_centre": "20 in", **wide},
    ]
    return table


def test_the_run_to_a_far_header_is_widened_alone_and_not_the_near_unit_s_hose() -> None:
    assert check(parse_job(far_header("1 in"))).verdict == "good"
    result = check(parse_job(far_header("1/2 in")))
    assert result.verdict == "bad"
    action = found(result, "flow-short")[0].actions[0]
    assert isinstance(action, ChangeHose)
    far = "part[9].branch[2]"
    assert action.parts == (f"{far}.part[1]", f"{far}.part[3]")
    assert action.fittings == (f"{far}.part[2]",)
    assert check(action.apply(result.job), fixes=False).verdict == "good"
