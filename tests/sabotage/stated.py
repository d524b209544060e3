"""Ways to describe a sound loop wrong: impossible figures, missing digits, omitted positions."""

from random import Random
from typing import Any

from loop.pumps import PumpCurve, load_pump
from tests.sabotage.way import (
    HOSE_IN,
    HOSE_OUT,
    HOSE_PUMP,
    HOSE_UP,
    INTAKE,
    OUTLET,
    PUMP,
    SEACOCK,
    SHORT,
    STRAINER,
    UNIT,
    Change,
    Table,
    boat,
    both,
    each,
    insert,
    number,
    outlet,
    put,
    way,
)


def _unit(**values: Any) -> Change:
    def change(table: Table, chance: Random) -> None:
        table["condenser"][0].update(values)

    return change


def _water(**values: Any) -> Change:
    def change(table: Table, chance: Random) -> None:
        table["water"].update(values)

    return change


# --- figures that no unit and no sea has ---------------------------------------------------------

each("heat that no unit rejects", ("refused",), {
    f"{share} of its cooling": _unit(heat_rejection=share) for share in (1.0, 1.05, 2.0, 3.0)
})  # fmt: skip
each("a draw that no unit has", ("refused",), {
    draw: _unit(electrical=f"{draw} at 100 degF") for draw in ("20 W", "9 kW")
})  # fmt: skip
each("an approach that no condenser has", ("refused",), {
    approach: _unit(approach=approach) for approach in ("0.01 degF", "1 degF", "45 degF")
})  # fmt: skip
each("water that no boat lies in", ("refused",), {
    "hotter than any sea": _water(temperature="110 degF"),
    "a frozen lake": _water(temperature="30 degF", salinity=0),
    "a frozen sea": _water(temperature="28.5 degF", salinity=20),
})  # fmt: skip
each("water in which no unit cools", ("condensing-low",), {
    "Fahrenheit for Celsius": _water(temperature="30 degF"),
    "Celsius for Fahrenheit": _water(temperature="4 degC"),
})  # fmt: skip


each("a planing hull of which only the trim is stated", ("rise-unstated",), {
    f"{knots} knot": both(
        boat(speed=f"{knots} knot", trim="0.1 deg", light_rise="0 in", wave_height="0 in"),
        put(INTAKE, facing="flush", height="-10 in"),
    )
    for knots in (24, 40)
})  # fmt: skip


@way("condensing-high")
def sea_in_which_no_unit_should_run(table: Table, chance: Random) -> None:
    """Warmer than the hottest day's, with a condenser that approaches it no more than it must."""
    table["water"]["temperature"] = "97 degF"
    table["condenser"][0]["approach"] = "18 degF"


each("a sea in which the maker's limits decide, and none is stated", ("limit-unstated",), {
    sea: _water(temperature=sea) for sea in ("99 degF", "101 degF")
})  # fmt: skip


@way("condensing-high")
def limit_of_its_own_past_which_every_unit_trips(table: Table, chance: Random) -> None:
    table["water"]["temperature"] = "103 degF"
    table["condenser"][0].update(approach="30 degF", condensing_stop="180 degF")


# --- digits --------------------------------------------------------------------------------------


def _need(share: float) -> Change:
    """A stated need this small, and the flow of a part-shut seacock."""

    def change(table: Table, chance: Random) -> None:
        need = number(table["condenser"][0]["cooling"]) / 12000 * 180
        table["condenser"][0]["flow_needed"] = f"{share * need:.1f} gal/h"
        table["part"][SEACOCK]["open"] = "29 %"

    return change


each("a need far below the heat's", ("need-doubtful", *SHORT), {
    f"{share:.0%} of it": _need(share) for share in (0.1, 0.3, 0.5)
})  # fmt: skip


@way("need-doubtful", *SHORT)
def a_flow_per_ton_that_no_maker_states(table: Table, chance: Random) -> None:
    table["condenser"][0]["flow_per_ton"] = "61 gal/h"
    table["part"][SEACOCK]["open"] = "29 %"


def _cooling(factor: float) -> Change:
    def change(table: Table, chance: Random) -> None:
        unit = table["condenser"][0]
        unit["cooling"] = f"{factor * number(unit['cooling']):.0f} BTU/h"

    return change


each("a digit of the cooling", ("need-doubtful", "refused", *SHORT), {
    "missing": _cooling(0.1), "too many": _cooling(10.0),
})  # fmt: skip


def _rated_at(part: int, factor: float) -> Change:
    def change(table: Table, chance: Random) -> None:
        drop, flow = table["part"][part]["loss"].split(" at ")
        table["part"][part]["loss"] = f"{drop} at {factor * number(flow):.0f} gal/h"

    return change


def _strainer_of(k: float) -> Change:
    def change(table: Table, chance: Random) -> None:
        table["part"][STRAINER] = {"kind": "strainer", "k": k, "blocked": "98 %"}

    return change


each("a loss rated in gal/min that is written in gal/h", ("loss-doubtful", *SHORT), {
    "of the condenser": _rated_at(UNIT, 60.0), "of the strainer": _rated_at(STRAINER, 60.0),
})  # fmt: skip


def _drop(part: int, factor: float) -> Change:
    def change(table: Table, chance: Random) -> None:
        drop, flow = table["part"][part]["loss"].split(" at ")
        table["part"][part]["loss"] = f"{factor * number(drop):.3g} psi at {flow}"
        table["part"][PUMP]["curve"] = "demo-ac-1500"

    return change


each("a loss whose point has slipped, and a pump that was bought for it", ("loss-doubtful",), {
    "of the condenser": _drop(UNIT, 10.0), "of the strainer": _drop(STRAINER, 30.0),
})  # fmt: skip
each("a clogged strainer that loses nothing", ("loss-doubtful", *SHORT), {
    f"K {k}": _strainer_of(k) for k in (0.0, 0.05)
})  # fmt: skip

each("a basket that loses nothing as it blocks", ("refused",), {
    share: put(STRAINER, basket_share=share, blocked="98 %") for share in ("0 %", "10 %")
})  # fmt: skip


def _fitted(**factors: float) -> Change:
    def change(table: Table, chance: Random) -> None:
        table["fitted"] = factors

    return change


each("a baseline of another boat", ("baseline-doubtful",), {
    f"{name} × {factor}": _fitted(**{name: factor})
    for name, factor in (("loss", 0.08), ("pump", 1.2), ("pump", 1.6), ("ua", 12.0))
})  # fmt: skip
each("a baseline of a fouled condenser", ("condenser-fouled", *SHORT), {
    str(ua): _fitted(ua=ua) for ua in (0.51, 0.56)
})  # fmt: skip
each("an approach that no clean condenser has", ("approach-doubtful",), {
    approach: _unit(approach=approach) for approach in ("2.5 degF", "22 degF", "29 degF")
})  # fmt: skip
each("a hose of so many millimetres for feet", ("hose-short",), {
    "before the pump": both(put(HOSE_IN, to="-9 in"), put(HOSE_PUMP, to="-9 in", length="5 mm")),
})  # fmt: skip

each("a bore whose point or unit slipped", ("bore-doubtful",), {
    f"{where} {bore}": put(part, bore=bore)
    for where, part in (("to the unit", HOSE_UP), ("to the sea", HOSE_OUT))
    for bore in ("7.5 in", "19 cm")
})  # fmt: skip


def _pump_file(row: str, unit: str, *left_out: str) -> Change:
    """A custom pump file, one row of it in another unit, others left out."""

    def change(table: Table, chance: Random) -> None:
        pump = load_pump(table["part"][PUMP]["curve"]).model_dump(mode="json", exclude_none=True)
        stated = pump["curve"][row]
        # Pumps whose heads are in metres: ten times as much, as of bar taken for metres.
        stated["unit"] = "bar" if unit == stated["unit"] == "m" else unit
        for other in left_out:
            pump["curve"].pop(other, None)
        table["part"][PUMP]["curve"] = PumpCurve.model_validate(pump)

    return change


each("a pump's file that says more than its motor can", ("pump-doubtful",), {
    f"{row} in {unit}": _pump_file(row, unit)
    for row, unit in (("flow", "L/s"), ("head", "bar"), ("head", "m"))
})  # fmt: skip
each("a pump's file that says more than its port lets out", ("pump-doubtful",), {
    "flow in L/s": _pump_file("flow", "L/s", "power"),
})  # fmt: skip

# --- places --------------------------------------------------------------------------------------

each("hose bent too tight", ("hose-kinked",), {
    where: put(part, sweeps=["90 deg"], bend_radius="0.6 in")
    for where, part in (("to the pump", HOSE_PUMP), ("to the unit", HOSE_UP))
})  # fmt: skip
each("vented loop hardly above the water", ("part-order",), {
    height: both(put(HOSE_UP, to=height), insert(UNIT, {"kind": "vented loop"}))
    for height in ("1 in", "4 in")
})  # fmt: skip


def _vent(height: str, **place: str) -> Change:
    """The unit after a vented loop at this height, the outlet after a seacock."""
    return both(
        insert(OUTLET, {"kind": "seacock"}),
        put(HOSE_UP, to=height, length="14 ft"),
        insert(UNIT, {"kind": "vented loop", **place}),
    )


each("vented loop that heel, trim or waves put under", ("part-order",), {
    "by heel": both(
        outlet("-6 in"), boat(heel="15 deg"), put(OUTLET, off_centre="60 in"), _vent("8 in")),
    "by heel, far out itself": both(
        outlet("-6 in"), boat(heel="20 deg"), _vent("12 in", off_centre="4 ft")),
    "by trim": both(
        outlet("-6 in"), boat(trim="4 deg"), put(OUTLET, fore_aft="16 ft"), _vent("12 in")),
    "nearly, by heel": both(
        outlet("-6 in"), boat(heel="15 deg"), put(OUTLET, off_centre="60 in"), _vent("19 in")),
    "by waves": both(outlet("-6 in"), boat(wave_height="24 in"), _vent("10 in")),
})  # fmt: skip
each("tee from which others draw, or may", ("tee-open",), {
    "before the pump, nothing said": insert(HOSE_PUMP, {"kind": "tee"}),
    "before the pump": insert(HOSE_PUMP, {"kind": "tee", "side": "in use"}),
    "after the pump": insert(HOSE_UP, {"kind": "tee", "side": "in use"}),
    "after the unit": insert(HOSE_OUT, {"kind": "tee", "side": "in use"}),
})  # fmt: skip
each("tee between through-hull and seacock", ("seacock-missing",), {
    "open": insert(SEACOCK, {"kind": "tee", "side": "in use"}),
    "nothing said": insert(SEACOCK, {"kind": "tee"}),
})  # fmt: skip
each("pump hardly under water", ("pump-above-water",), {
    height: put(HOSE_PUMP, to=height, length="4 ft") for height in ("-0.5 in", "-1 in", "-1.5 in")
})  # fmt: skip


@way("pump-above-water")
def pump_hardly_under_water_when_light(table: Table, chance: Random) -> None:
    rise = -number(table["part"][HOSE_PUMP]["to"]) - 1
    table["boat"]["light_rise"] = f"{rise:.1f} in"


@way("pump-above-water", *SHORT)
def pump_that_primes_itself_higher_than_most_can(table: Table, chance: Random) -> None:
    table["part"][PUMP].update(curve="demo-dc-prime-400", supply="12 V")
    table["part"][HOSE_PUMP].update(to="7 ft", length="12 ft")
    table["part"][HOSE_UP].update(to="8 ft", length="4 ft")
    table["part"][HOSE_OUT]["length"] = "16 ft"


@way("part-order", *SHORT)
def dip_after_a_pump_that_primes_itself(table: Table, chance: Random) -> None:
    table["part"][PUMP].update(curve="demo-dc-prime-400", supply="12 V")
    table["part"][HOSE_PUMP].update(to="3 ft", length="6 ft")
    table["part"][HOSE_UP].update(to="7 ft", length="20 ft", via=["-1 ft"])
    table["part"][HOSE_OUT]["length"] = "16 ft"


def _unplaced(table: Table, chance: Random) -> None:
    del table["part"][OUTLET]["off_centre"]


each("place left out where heel counts", ("place-unstated",), {
    "of the pump": both(boat(heel="20 deg"), put(HOSE_PUMP, to="-3.5 in", length="4 ft")),
    "of the outlet": both(boat(heel="24 deg"), outlet("12 in"), _unplaced),
})  # fmt: skip
each("outlet beside the intake", ("discharge-beside-intake",), {
    f"{gap} in apart": both(
        put(INTAKE, height="-18 in", off_centre="6 in", fore_aft="20 in"),
        put(OUTLET, off_centre="6 in", fore_aft=f"{20 + gap} in"),
    )
    for gap in (0, 10, 14)
})  # fmt: skip


@way("suction-above-water", "suction-hump")
def high_point_that_the_lightest_load_lifts_out(table: Table, chance: Random) -> None:
    table["boat"]["light_rise"] = "4 in"
    table["part"][HOSE_PUMP].update(via=["-3 in"], length="9 ft")


# --- guesses -------------------------------------------------------------------------------------


@way("guessed")
def everything_that_bears_on_the_flow_guessed(table: Table, chance: Random) -> None:
    table["condenser"][0]["guessed"] = ["cooling"]
    table["defaults"]["guessed"] = ["bore"]
    for part, key in ((UNIT, "loss"), (PUMP, "curve"), (HOSE_UP, "length")):
        table["part"][part]["guessed"] = [key]


@way("guessed")
def height_of_a_pump_near_the_water_guessed(table: Table, chance: Random) -> None:
    table["part"][HOSE_PUMP].update(to="-5 in", length="4 ft", guessed=["to"])
