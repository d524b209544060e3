"""Ways to install the line after the pump wrong, and files that nobody would write."""

from random import Random
from typing import Any

from tests.sabotage.way import (
    HOSE_OUT,
    HOSE_UP,
    INTAKE,
    OUTLET,
    PUMP,
    SEACOCK,
    SHORT,
    UNIT,
    Change,
    Table,
    boat,
    both,
    drop,
    each,
    insert,
    number,
    outlet,
    put,
    way,
)

# --- pressure side -------------------------------------------------------------------------------

each("hose too small after the pump", (*SHORT, "hose-fast"), {
    f"{bore}, {length}": put(HOSE_UP, bore=bore, length=length)
    for bore in ("1/4 in", "3/8 in") for length in ("12 ft", "30 ft")
})  # fmt: skip
each("hose too long", SHORT, {
    length: put(HOSE_UP, length=length, bore="5/8 in") for length in ("250 ft", "400 ft")
})  # fmt: skip
each("hose kinked", SHORT, {
    f"{place} of K {k}": lambda t, c, at=at, k=k: t["part"].insert(at, {"kind": "fitting", "k": k})
    for place, at in (("after the pump", HOSE_UP), ("after the unit", HOSE_OUT))
    for k in (1200, 4000)
})  # fmt: skip
each("condenser scaled", (*SHORT, "tube-fast"), {
    t: put(UNIT, tube_bore="0.5 in", scale=t) for t in ("0.12 in", "0.15 in")
})  # fmt: skip
each("condenser scaled, its tube wide enough", ("condenser-fouled", *SHORT), {
    t: put(UNIT, tube_bore="1.2 in", scale=t) for t in ("0.03 in", "0.05 in")
})  # fmt: skip
each("outlet too high", (*SHORT, "discharge-high", "start-head-short"), {
    height: outlet(height) for height in ("14 ft", "20 ft", "26 ft")
})  # fmt: skip


each("outlet that waves cover, without a seacock", ("seacock-missing",), {
    height: both(outlet(height), boat(wave_height="24 in"))
    for height in ("1 in", "4 in", "8 in")
})  # fmt: skip
each("pump far too large, and strangled", ("near-shutoff",), {
    f"{share} open": both(
        put(PUMP, curve="demo-ac-1500", supply="115 V"),
        insert(HOSE_UP, {"kind": "seacock", "bore": "1/2 in", "open": share}),
    )
    for share in ("22 %", "28 %")
})  # fmt: skip
each("outlet hardly above still water, without a seacock", ("seacock-missing",), {
    height: both(outlet(height), boat(wave_height="0 in")) for height in ("0.25 in", "1 in")
})  # fmt: skip


each("outlet that heel leaves dry by a hair, without a seacock", ("seacock-missing",), {
    off: both(outlet("5 in"), put(OUTLET, off_centre=off), boat(heel="12 deg", wave_height="0 in"))
    for off in ("23.2 in", "23.8 in")
})  # fmt: skip


@way("no-flow", "flow-short")
def check_valve_and_shut_valve_after_the_pump(table: Table, chance: Random) -> None:
    table["part"].insert(HOSE_UP, {"kind": "check valve"})
    table["part"].insert(HOSE_UP, {"kind": "seacock", "open": "0 %"})


each("line narrowed after the pump", SHORT, {
    "by small barbs": put(HOSE_UP, barb_bore="0.2 in"),
    "by ribbed hose, very long": put(HOSE_UP, lining="ribbed", length="300 ft"),
    "by a second coil in line": insert(
        UNIT, {"kind": "fitting", "loss": "4 psi at 100 gal/h"}),
    "by the outlet's fitting": put(OUTLET, bore="3/16 in"),
})  # fmt: skip

# --- units ---------------------------------------------------------------------------------------

each("unit larger than the loop was made for", SHORT, {
    f"{times} times": lambda t, c, times=times: t["condenser"][0].update(
        cooling=f"{times * number(t['condenser'][0]['cooling']):.0f} BTU/h")
    for times in (1.6, 2.0, 3.0)
})  # fmt: skip


@way("condensing-high", *SHORT)
def sea_too_warm_for_the_limit(table: Table, chance: Random) -> None:
    table["water"]["temperature"] = "103 degF"
    table["condenser"][0]["condensing_stop"] = "105 degF"


def _in_line(order: int) -> Change:
    def change(table: Table, chance: Random) -> None:
        other = {"name": "other", "cooling": "20000 BTU/h", "condensing_stop": "108 degF"}
        table["condenser"].append(other)
        table["water"]["temperature"] = "88 degF"
        part = {"kind": "condenser", "serves": "other", "loss": "1 psi at 300 gal/h"}
        table["part"].insert(UNIT + order, part)

    return change


each("two units in line on the water of one", (*SHORT, "condensing-high"), {
    "the large one second": _in_line(1), "the large one first": _in_line(0),
})  # fmt: skip


def _branches(header: str, second: dict[str, Any]) -> Change:
    def change(table: Table, chance: Random) -> None:
        cooling = table["condenser"][0]["cooling"]
        table["condenser"].append({"name": "other", "cooling": cooling})
        unit = table["part"][UNIT]
        rise = table["part"][HOSE_UP]
        branch = [
            {"name": name, "part": [
                {"kind": "hose", "length": "3 ft", "to": rise["to"], "bore": "3/4 in", **extra},
                {**unit, "serves": serves, "bore": "3/4 in"},
            ]}
            for name, serves, extra in (("one", "cabin", {}), ("two", "other", second))
        ]  # fmt: skip
        table["part"][UNIT] = {"kind": "manifold", "bore": header, "branch": branch}

    return change


each("a second unit on a pump for one", (*SHORT, "cannot-balance", "unbalanced"), {
    "wide header": _branches("1-1/4 in", {}),
    "narrow header": _branches("3/8 in", {}),
    "long narrow branch": _branches("1 in", {"bore": "3/8 in", "length": "40 ft"}),
})  # fmt: skip


@way("flow-short", "no-flow", "branch-shut")
def a_branch_shut_for_good(table: Table, chance: Random) -> None:
    _branches("1-1/4 in", {})(table, chance)
    branch = next(p for p in table["part"] if p["kind"] == "manifold")["branch"][1]
    branch["part"].insert(0, {"kind": "seacock", "open": "0 %", "bore": "3/4 in"})


@way("at-rest-short", "flow-short", "flow-marginal")
def a_scoop_that_carries_the_flow_under_way_only(table: Table, chance: Random) -> None:
    table["boat"]["speed"] = "18 knot"
    table["part"][INTAKE]["facing"] = "forward"
    table["condenser"][0]["flow_per_ton"] = "265 gal/h"


@way(*SHORT, "unbalanced", "cannot-balance")
def a_way_round_the_unit_wide_open(table: Table, chance: Random) -> None:
    unit = {**table["part"][UNIT], "bore": "3/4 in"}
    hose = {"kind": "hose", "bore": "3/4 in", "length": "2 ft", "to": table["part"][HOSE_UP]["to"]}
    branch = [{"name": "one", "part": [unit]}, {"name": "round", "part": [hose]}]
    table["part"][UNIT] = {"kind": "manifold", "bore": "3/4 in", "branch": branch}


@way("condensing-high")
def a_unit_that_would_trip_with_all_its_water(table: Table, chance: Random) -> None:
    table["water"]["temperature"] = "103 degF"
    table["condenser"][0]["approach"] = "30 degF"


@way("condensing-high", "no-flow")
def a_need_far_too_small_met_by_a_trickle(table: Table, chance: Random) -> None:
    tons = number(table["condenser"][0]["cooling"]) / 12000
    table["condenser"][0]["flow_needed"] = f"{8 * tons:.2f} gal/h"
    table["part"][SEACOCK]["open"] = "14 %"


# --- files that nobody would state ---------------------------------------------------------------


each("a need that nobody would state", ("refused",), {
    text: lambda t, c, text=text: t["condenser"][0].update(cooling=text)
    for text in ("12.000 BTU/h", "12 BTU/h", "900000 BTU/h")
})  # fmt: skip
each("water that is no sea", ("refused",), {
    "too salt": lambda t, c: t["water"].update(salinity=60),
    "too hot": lambda t, c: t["water"].update(temperature="160 degF"),
    "frozen": lambda t, c: t["water"].update(temperature="10 degF"),
})  # fmt: skip
each("parts in an order that is no loop", ("refused",), {
    "no pump": drop(PUMP),
    "outlet before the unit": lambda t, c: t["part"].insert(UNIT, t["part"].pop(OUTLET)),
    "no outlet": drop(OUTLET),
    "intake second": lambda t, c: t["part"].insert(1, t["part"].pop(INTAKE)),
})  # fmt: skip
