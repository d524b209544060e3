"""Ways to install a sound loop wrong: each a small change of its tables, and what must be found."""

from collections.abc import Callable
from dataclasses import dataclass
from random import Random
from typing import Any

Table = dict[str, Any]
Change = Callable[[Table, Random], None]

# Places of the parts of a sound loop.
INTAKE, SEACOCK, HOSE_IN, STRAINER, HOSE_PUMP, PUMP = range(6)
BLEED, HOSE_UP, UNIT, HOSE_OUT, OUTLET = range(6, 11)


@dataclass(frozen=True)
class Sabotage:
    """One way: a name, the change, and the codes of which at least one must be found."""

    name: str
    change: Change
    codes: frozenset[str]

    def __str__(self) -> str:
        return self.name


WAYS: list[Sabotage] = []


def way(*codes: str) -> Callable[[Change], Change]:
    """Takes up a change under its function's name."""

    def add(change: Change) -> Change:
        name = change.__name__.replace("_", " ")
        WAYS.append(Sabotage(name, change, frozenset(codes)))
        return change

    return add


def each(name: str, codes: tuple[str, ...], changes: dict[str, Change]) -> None:
    """Takes up several changes of one kind."""
    WAYS.extend(Sabotage(f"{name}: {k}", change, frozenset(codes)) for k, change in changes.items())


def put(part: int, **values: Any) -> Change:
    """A change that sets values of one part."""

    def change(table: Table, chance: Random) -> None:
        table["part"][part].update(values)

    return change


def drop(*parts: int) -> Change:
    """A change that leaves parts out."""

    def change(table: Table, chance: Random) -> None:
        table["part"] = [p for i, p in enumerate(table["part"]) if i not in parts]

    return change


def outlet(height: str) -> Change:
    """A change of the outlet's height."""

    def change(table: Table, chance: Random) -> None:
        table["part"][HOSE_OUT].update(to=height, length="30 ft")
        table["part"][OUTLET]["height"] = height

    return change


def number(text: str) -> float:
    """The number before a unit."""
    return float(text.split()[0])


SHORT = ("flow-short", "flow-marginal", "no-flow", "condensing-high")
AIR = ("air-held", "bleed-missing", "start-head-short", "siphon-uncertain", *SHORT)
SUCTION = ("suction-hump", "suction-above-water", "pump-above-water", "strainer-above-water")

# --- through-hulls -------------------------------------------------------------------------------

each("no seacock", ("seacock-missing",), {"at the intake": drop(SEACOCK)})
each("outlet under water", ("seacock-missing", "discharge-under-water"), {
    depth: outlet(f"-{depth}") for depth in ("1 in", "3 in", "8 in", "14 in")
})  # fmt: skip
each("seacock shut", ("no-flow", "flow-short"), {
    share: put(SEACOCK, open=share) for share in ("0 %", "3 %", "8 %")
})  # fmt: skip
each("seacock part shut", SHORT, {share: put(SEACOCK, open=share) for share in ("20 %", "28 %")})
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


each("strainer blocked", (*SHORT, "cavitation", "boiling"), {
    share: put(STRAINER, blocked=share) for share in ("96 %", "98 %", "99 %")
})  # fmt: skip
each("wrong strainer", (*SHORT, "cavitation", "boiling"), {
    loss: put(STRAINER, loss=loss) for loss in ("6 psi at 100 gal/h", "20 psi at 200 gal/h")
})  # fmt: skip

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
})  # fmt: skip


def _dc(supply: str) -> Change:
    def change(table: Table, chance: Random) -> None:
        table["part"][PUMP].update(curve="demo-dc-600", supply=supply)

    return change


each("DC pump", ("supply-wrong",), {s: _dc(s) for s in ("8 V", "17 V", "18 V")})

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
each("outlet too high", (*SHORT, "discharge-high", "start-head-short"), {
    height: outlet(height) for height in ("14 ft", "20 ft", "26 ft")
})  # fmt: skip


@way("no-flow", "flow-short")
def check_valve_and_shut_valve_after_the_pump(table: Table, chance: Random) -> None:
    table["part"].insert(HOSE_UP, {"kind": "check valve"})
    table["part"].insert(HOSE_UP, {"kind": "seacock", "open": "0 %"})


# --- units ---------------------------------------------------------------------------------------

each("unit larger than the loop was made for", SHORT, {
    f"{times} times": lambda t, c, times=times: t["condenser"][0].update(
        cooling=f"{times * number(t['condenser'][0]['cooling']):.0f} BTU/h")
    for times in (1.6, 2.0, 3.0)
})  # fmt: skip


@way("condensing-high", *SHORT)
def sea_too_warm_for_the_limit(table: Table, chance: Random) -> None:
    table["water"]["temperature"] = "110 degF"
    table["condenser"][0]["condensing_stop"] = "112 degF"


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
