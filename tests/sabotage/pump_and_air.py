"""Ways to install the pump wrong, and to trap air in the line after it."""

from random import Random

from tests.sabotage.way import (
    AIR,
    BLEED,
    HOSE_OUT,
    HOSE_PUMP,
    HOSE_UP,
    OUTLET,
    PUMP,
    SHORT,
    UNIT,
    Change,
    Table,
    drop,
    each,
    insert,
    number,
    way,
)

# --- pump and supply -----------------------------------------------------------------------------


def _unit_at(height: str) -> Change:
    def change(table: Table, chance: Random) -> None:
        table["part"][HOSE_UP].update(to=height, length="24 ft")
        table["part"][HOSE_OUT].update(to=height, length="4 ft")
        table["part"][OUTLET]["height"] = height

    return change


def _smallest_pump(table: Table, chance: Random) -> None:
    table["part"][PUMP].update(curve="demo-ac-200", supply="115 V")
    table["condenser"][0]["flow_needed"] = "400 gal/h"


each("pump too weak", SHORT, {
    "smallest of the catalogue on twice the need": _smallest_pump,
    "a unit three stories up": _unit_at("18 ft"),
})  # fmt: skip


def _supply(share: float) -> Change:
    def change(table: Table, chance: Random) -> None:
        pump = table["part"][PUMP]
        pump["supply"] = f"{share * number(pump['supply']):.1f} V"

    return change


each("wrong voltage", ("supply-wrong",), {
    f"{share:.2f} of the rating": _supply(share) for share in (0.4, 0.52, 0.8, 1.15, 2.0)
})  # fmt: skip


def _frequency(other: dict[bool, str]) -> Change:
    def change(table: Table, chance: Random) -> None:
        pump = table["part"][PUMP]
        pump["frequency"] = other["ac50" in pump["curve"]]

    return change


each("wrong frequency", ("supply-wrong",), {
    "50 for 60 and 60 for 50": _frequency({True: "60 Hz", False: "50 Hz"}),
    "far off": _frequency({True: "40 Hz", False: "75 Hz"}),
    "a generator off its speed": _frequency({True: "53.5 Hz", False: "56 Hz"}),
})  # fmt: skip


def _dc(supply: str) -> Change:
    def change(table: Table, chance: Random) -> None:
        table["part"][PUMP].update(curve="demo-dc-600", supply=supply)

    return change


each("DC pump", ("supply-wrong",), {s: _dc(s) for s in ("8 V", "17 V", "18 V")})
each("DC pump on an empty bank", ("supply-low",), {s: _dc(s) for s in ("9.2 V", "10.4 V")})

# --- air -----------------------------------------------------------------------------------------

each("no bleed", ("bleed-missing",), {"at the pump": drop(BLEED)})


def _wide_high(bore: str, height: str) -> Change:
    def change(table: Table, chance: Random) -> None:
        table["part"][HOSE_UP].update(via=[height, "-4 in"], bore=bore, length="30 ft", to="0 in")

    return change


each("high point after the pump in wide hose", AIR, {
    f"{bore}, {height}": _wide_high(bore, height)
    for bore in ("2 in", "3 in") for height in ("3 ft", "5 ft")
})  # fmt: skip


def _loops(count: int) -> Change:
    def change(table: Table, chance: Random) -> None:
        via = [h for _ in range(count) for h in ("5 ft", "-4 in")]
        table["part"][HOSE_UP].update(via=via, length="80 ft", to="0 in")

    return change


each("hose up and down over frames", AIR, {f"{n} times": _loops(n) for n in (2, 3, 4)})


def _bled_by_hand(bore: str, height: str) -> Change:
    """A bleed where the hose to the unit turns down: nobody opens it when the pump starts."""

    def change(table: Table, chance: Random) -> None:
        bled = {"kind": "bleed", "bore": bore}
        dip = {"kind": "hose", "length": "20 ft", "to": "0 in", "via": ["-4 in"], "bore": bore}
        table["part"][HOSE_UP].update(to=height, bore=bore, length="15 ft")
        insert(UNIT, bled, dip)(table, chance)

    return change


each("high point that only a hand bleeds", AIR, {
    f"{bore}, {height}": _bled_by_hand(bore, height)
    for bore in ("1-1/2 in", "2 in") for height in ("3 ft", "5 ft")
})  # fmt: skip


def _siphon(bore: str, height: str) -> Change:
    def change(table: Table, chance: Random) -> None:
        table["part"][HOSE_UP].update(to=height, length="20 ft")
        table["part"][HOSE_OUT].update(bore=bore, length="20 ft")
        table["part"][OUTLET].update(bore=bore)

    return change


each("unit high up, outlet leg that cannot run full", AIR, {
    f"{height}, {bore}": _siphon(bore, height)
    for height in ("10 ft", "16 ft") for bore in ("1-1/2 in", "2 in")
})  # fmt: skip


@way("supply-wrong")
def pump_of_24_volts_on_12(table: Table, chance: Random) -> None:
    table["part"][PUMP].update(curve="demo-dc24-900", supply="12 V")


@way("supply-wrong")
def pump_of_50_hertz_on_60(table: Table, chance: Random) -> None:
    table["part"][PUMP].update(curve="demo-ac50-60", supply="230 V", frequency="60 Hz")


@way("no-flow", "boiling", "cavitation")
def pump_that_primes_itself_higher_than_any_can(table: Table, chance: Random) -> None:
    table["part"][PUMP].update(curve="demo-dc-prime-400", supply="12 V")
    table["part"][HOSE_PUMP].update(to="24 ft", length="30 ft")
    table["part"][HOSE_UP]["length"] = "30 ft"


@way("part-order")
def vented_loop_under_water(table: Table, chance: Random) -> None:
    insert(HOSE_UP, {"kind": "vented loop"})(table, chance)


@way("bleed-missing")
def bleed_in_a_low_point_only(table: Table, chance: Random) -> None:
    drop(BLEED)(table, chance)
    table["part"][BLEED].update(via=["-20 in"], length="20 ft")
    insert(HOSE_UP, {"kind": "bleed"})(table, chance)


@way("bleed-draws-air", *AIR)  # where the siphon does not form the water is short
def bleed_where_the_siphon_draws(table: Table, chance: Random) -> None:
    table["part"][HOSE_UP].update(to="6 ft", length="14 ft")
    table["part"][HOSE_OUT]["length"] = "14 ft"
    insert(HOSE_OUT, {"kind": "bleed"})(table, chance)
