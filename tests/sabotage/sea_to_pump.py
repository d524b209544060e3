"""Ways to install the line between sea and pump wrong."""

from random import Random

from tests.sabotage.way import (
    BLEED,
    HOSE_IN,
    HOSE_PUMP,
    HOSE_UP,
    INTAKE,
    OUTLET,
    PUMP,
    SEACOCK,
    SHORT,
    STRAINER,
    SUCTION,
    UNIT,
    Change,
    Table,
    boat,
    both,
    drop,
    each,
    insert,
    move,
    outlet,
    put,
    way,
)

# --- through-hulls -------------------------------------------------------------------------------

each("no seacock", ("seacock-missing",), {"at the intake": drop(SEACOCK)})
each("seacock held by something unknown", ("seacock-off-hull",), {
    "fitting": insert(SEACOCK, {"kind": "fitting", "k": 1.0}),
    "elbows": insert(SEACOCK, {"kind": "elbow", "count": 4}),
})  # fmt: skip
each("outlet under water", ("seacock-missing", "discharge-under-water"), {
    depth: outlet(f"-{depth}") for depth in ("1 in", "3 in", "8 in", "14 in")
})  # fmt: skip
each("seacock shut", ("no-flow", "flow-short"), {
    share: put(SEACOCK, open=share) for share in ("0 %", "3 %", "8 %")
})  # fmt: skip
each("seacock part shut", ("seacock-part-shut",), {
    share: put(SEACOCK, open=share)
    for share in ("20 %", "28 %", "40 %", "50 %", "60 %", "70 %", "80 %", "90 %", "97 %")
})  # fmt: skip
each("intake too shallow", ("intake-shallow",), {
    depth: put(INTAKE, height=f"-{depth}") for depth in ("0.5 in", "1 in", "1.5 in")
})  # fmt: skip


@way("intake-shallow")
def intake_far_out_at_a_large_heel(table: Table, chance: Random) -> None:
    table["boat"]["heel"] = "25 deg"
    table["part"][INTAKE]["off_centre"] = "6 ft"


@way("intake-shallow")
def intake_bared_by_waves(table: Table, chance: Random) -> None:
    table["boat"]["wave_height"] = "6 ft"


@way("intake-shallow", "pump-above-water")
def hull_that_rises_when_light(table: Table, chance: Random) -> None:
    table["boat"]["light_rise"] = "20 in"


@way("intake-facing-aft")
def scoop_facing_aft_under_way(table: Table, chance: Random) -> None:
    table["part"][INTAKE]["facing"] = "aft"
    table["boat"]["speed"] = "8 knot"


each("grate too small", (*SHORT, "boiling", "cavitation"), {
    "a tenth": put(INTAKE, grate_area="0.09 in^2", grate_open="30 %"),
    "clogged": put(INTAKE, grate_open="6 %"),
})  # fmt: skip

# --- suction -------------------------------------------------------------------------------------

each("pump above the water", ("pump-above-water",), {
    height: put(HOSE_PUMP, to=height, length="8 ft") for height in ("2 in", "8 in", "2 ft", "4 ft")
})  # fmt: skip


def _strainer_at(height: str) -> Change:
    def change(table: Table, chance: Random) -> None:
        table["part"][HOSE_IN].update(to=height, length="6 ft")
        table["part"][HOSE_PUMP]["length"] = "6 ft"

    return change


each("strainer above the water", ("strainer-above-water", *SUCTION), {
    height: _strainer_at(height) for height in ("2 in", "10 in")
})  # fmt: skip
each("high point in the suction", SUCTION, {
    f"{where} {height}": put(part, via=[height], length="9 ft")
    for where, part in (("before the strainer", HOSE_IN), ("before the pump", HOSE_PUMP))
    for height in ("-3 in", "3 in", "18 in")
})  # fmt: skip
each("suction hose too small", (*SHORT, "suction-fast", "cavitation", "boiling"), {
    bore: put(HOSE_IN, bore=bore, length="12 ft") for bore in ("1/4 in", "3/8 in")
})  # fmt: skip

each("through-hull or seacock too small", (*SHORT, "inlet-fast", "cavitation", "boiling"), {
    "seacock by its bore": put(SEACOCK, bore="3/8 in"),
    "seacock by its port": put(SEACOCK, port="3/8 in"),
    "through-hull": put(INTAKE, bore="3/8 in"),
    "both": both(put(INTAKE, bore="3/8 in"), put(SEACOCK, bore="3/8 in")),
})  # fmt: skip


@way("strainer-missing")
def no_strainer(table: Table, chance: Random) -> None:
    drop(STRAINER)(table, chance)


@way("strainer-after-pump", "strainer-missing")
def strainer_after_the_pump(table: Table, chance: Random) -> None:
    part = table["part"].pop(STRAINER)
    table["part"].insert(PUMP + 1, part)


@way("part-order")
def check_valve_in_the_suction(table: Table, chance: Random) -> None:
    table["part"].insert(PUMP, {"kind": "check valve"})


@way("bleed-draws-air", "bleed-missing", "bleed-in-sag")
def bleed_before_the_pump_only(table: Table, chance: Random) -> None:
    part = table["part"].pop(BLEED)
    table["part"].insert(PUMP, part)


each("strainer due", ("strainer-due", *SHORT), {
    share: put(STRAINER, blocked=share) for share in ("90 %", "92 %", "94 %")
})  # fmt: skip
each("strainer blocked", (*SHORT, "cavitation", "boiling"), {
    share: put(STRAINER, blocked=share) for share in ("96 %", "98 %", "99 %")
})  # fmt: skip
each("wrong strainer", (*SHORT, "cavitation", "boiling"), {
    loss: put(STRAINER, loss=loss) for loss in ("6 psi at 100 gal/h", "20 psi at 200 gal/h")
})  # fmt: skip
each("strainer too small once half blocked", SHORT, {
    loss: both(put(STRAINER, loss=loss), put(PUMP, curve="demo-ac-700"))
    for loss in ("2 psi at 130 gal/h", "1.5 psi at 100 gal/h")
})  # fmt: skip


each("seacock away from the through-hull", ("seacock-missing",), {
    "after the first hose": move(SEACOCK, HOSE_IN),
    "after the strainer": move(SEACOCK, STRAINER),
    "at the pump": move(SEACOCK, HOSE_PUMP),
})  # fmt: skip
each("outlet under water with a valve elsewhere only", ("seacock-missing",), {
    "at the unit": both(outlet("-8 in"), insert(UNIT, {"kind": "seacock"})),
    "after the pump": both(outlet("-4 in"), insert(HOSE_UP, {"kind": "seacock"})),
})  # fmt: skip
each("outlet that dips", ("seacock-missing",), {
    "at the worst heel": both(boat(heel="20 deg"), put(OUTLET, off_centre="6 ft")),
    "at the worst trim": both(boat(trim="5 deg"), put(OUTLET, fore_aft="16 ft")),
})  # fmt: skip
each("intake lifted out", ("intake-shallow", "refused"), {
    "above the water": put(INTAKE, height="2 in"),
    "far forward, by trim": both(boat(trim="6 deg"), put(INTAKE, fore_aft="20 ft")),
})  # fmt: skip


@way("seacock-missing")
def branch_overboard_under_water_without_a_seacock_at_it(table: Table, chance: Random) -> None:
    narrow = {"kind": "seacock", "open": "30 %", "bore": "3/4 in"}
    hose = {"kind": "hose", "bore": "3/4 in", "length": "12 ft", "to": "-5 in"}
    over = [narrow, hose, {"kind": "discharge", "bore": "3/4 in", "height": "-5 in"}]
    unit = [{**table["part"][UNIT], "bore": "3/4 in"}]
    branch = [{"name": "one", "part": unit}, {"name": "over", "part": over}]
    table["part"][UNIT] = {"kind": "manifold", "bore": "3/4 in", "branch": branch}


each("part that does not belong before the pump", ("part-order",), {
    "the unit": move(UNIT, HOSE_PUMP),
    "the unit before the strainer": move(UNIT, HOSE_IN),
    "a vented loop": insert(PUMP, {"kind": "vented loop"}),
    "a check valve before the strainer": insert(HOSE_IN, {"kind": "check valve"}),
})  # fmt: skip
each("suction narrowed", (*SHORT, "cavitation", "boiling"), {
    "by small barbs": put(HOSE_PUMP, barb_bore="0.2 in"),
    "by a second strainer, clogged": insert(
        HOSE_PUMP, {"kind": "strainer", "loss": "0.4 psi at 100 gal/h", "blocked": "98 %"}),
    "by the seacock's port": put(SEACOCK, port="3/16 in"),
    "by the through-hull": put(INTAKE, bore="1/4 in"),
})  # fmt: skip


@way(*SUCTION)
def suction_hose_that_hangs_low(table: Table, chance: Random) -> None:
    put(HOSE_PUMP, via=["-40 in"], length="14 ft")(table, chance)


@way("pump-above-water")
def pump_lifted_by_heel(table: Table, chance: Random) -> None:
    table["boat"]["heel"] = "20 deg"
    table["part"][PUMP]["off_centre"] = "5 ft"
