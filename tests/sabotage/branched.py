"""Sound loops of two or three units on one pump, and the ways to spoil their branches.

A branched loop is a sound loop of one unit (`sound.sound_tables`) with two or three units in
parallel on a header, as many pumps in parallel, and the main line widened to match. Sound also
means: every unit, as the loop starts, has 1.22 to 1.6 times its need, and no leg holds air.
"""

from functools import cache
from random import Random

from loop.hydraulics import solve
from loop.job import parse_job
from tests.sabotage.sound import sound_tables
from tests.sabotage.way import AIR, OUTLET, PUMP, SHORT, STRAINER, UNIT, Sabotage, Table, number

NAMES = ("cabin", "saloon", "galley")
_LEAST, _MOST, _TAKEN = 1.22, 1.6, 0.02
# Bore of the main line over that of one unit's [in].
_WIDER = {2: {0.75: 1.25, 1.0: 1.5, 1.25: 2.0}, 3: {0.75: 1.5, 1.0: 1.8, 1.25: 2.4}}


def branched_tables(number_of_loop: int) -> Table:
    """The tables of a sound branched job; a new copy each time."""
    return _branched(_chosen(number_of_loop + 1)[-1])


@cache
def _chosen(count: int) -> list[int]:
    """The first seeds, this many, that make a sound branched loop."""
    found = _chosen(count - 1) if count > 1 else []
    seed = found[-1] + 1 if found else 0
    while not _fits(_branched(seed)):
        seed += 1
    return [*found, seed]


def _branched(seed: int) -> Table:
    table, chance = sound_tables(seed), Random(f"branched {seed}")
    bore = number(table["defaults"]["bore"])
    units = 2 + seed % 2
    for part in table["part"]:
        part["bore"] = f"{_WIDER[units][bore]} in"
    pump, strainer, unit = (table["part"][place] for place in (PUMP, STRAINER, UNIT))
    del pump["bore"]
    pump["count"] = units
    strainer["loss"] = f"0.3 psi at {units * number(strainer['loss'].split(' at ')[1]):.0f} gal/h"
    lift, length = table["part"][UNIT - 1]["to"], chance.uniform(2, 5)
    narrow = {"bore": f"{bore} in", "to": lift}
    table["part"][UNIT] = {
        "kind": "manifold",
        "bore": unit["bore"],
        "branch": [
            {
                "name": f"to {name}",
                "part": [
                    {"kind": "hose", "length": f"{length + 0.3 * place:.1f} ft", **narrow},
                    {**unit, "serves": name, "bore": f"{bore} in"},
                    {"kind": "hose", "length": f"{length:.1f} ft", **narrow},
                ],
            }
            for place, name in enumerate(NAMES[:units])
        ],
    }
    table["condenser"] = [{**table["condenser"][0], "name": name} for name in NAMES[:units]]
    return table


def _fits(table: Table) -> bool:
    point = solve(parse_job(table))
    network = point.network
    shares = [
        point.flow_through(network.condenser_part(unit.name)) / unit.needed_flow
        for unit in network.job.condenser
    ]
    full = all(leg.head_taken < _TAKEN for leg in point.legs)
    return min(shares) >= _LEAST and max(shares) <= _MOST and full


# A branch's parts.
HOSE_TO, COIL, HOSE_FROM = range(3)


def last(table: Table) -> list[Table]:
    """The parts of the last branch."""
    parts: list[Table] = table["part"][UNIT]["branch"][-1]["part"]
    return parts


def valve_nearly_shut(table: Table, chance: Random) -> None:
    """A balancing valve that somebody turned."""
    last(table).insert(0, {**last(table)[0], "length": "1 ft"})
    bore = last(table)[0]["bore"]
    last(table).insert(1, {"kind": "seacock", "open": "22 %", "bore": bore})


def narrow_branch(table: Table, chance: Random) -> None:
    """Leftover hose."""
    last(table)[HOSE_TO].update(bore="3/8 in", length="20 ft")


def narrow_header(table: Table, chance: Random) -> None:
    """A header of the branches' own size, or less."""
    table["part"][UNIT]["bore"] = "3/8 in"


def larger_unit(table: Table, chance: Random) -> None:
    """A unit replaced by one of three times its cooling."""
    unit = table["condenser"][-1]
    unit["cooling"] = f"{3 * number(unit['cooling']):.0f} BTU/h"


def unit_far_up(table: Table, chance: Random) -> None:
    """A branch that does not prime while the others run."""
    last(table)[HOSE_TO].update(to="16 ft", length="24 ft")
    last(table)[HOSE_FROM].update(length="24 ft")


def branch_over_frames(table: Table, chance: Random) -> None:
    """Wide hose, up and down."""
    hose = last(table)[HOSE_TO]
    hose.update(via=["6 ft", "-4 in", "6 ft", "-4 in"], bore="2 in", length="60 ft")


def way_round(table: Table, chance: Random) -> None:
    """A branch without a unit, wide open."""
    hose = {**last(table)[HOSE_TO], "length": "2 ft", "bore": table["part"][UNIT]["bore"]}
    table["part"][UNIT]["branch"].append({"name": "round", "part": [hose]})


def overboard_under_water(table: Table, chance: Random) -> None:
    """A branch with its own outlet, under water, and no seacock."""
    last(table)[HOSE_FROM].update(to="-6 in", length="12 ft")
    last(table).append({"kind": "discharge", "height": "-6 in", "bore": last(table)[COIL]["bore"]})


def coil_behind_coil(table: Table, chance: Random) -> None:
    """Two units in series on one branch."""
    table["condenser"].append({**table["condenser"][-1], "name": "second"})
    last(table).insert(HOSE_FROM, {**last(table)[COIL], "serves": "second"})


def outlet_fitting_of_one_unit(table: Table, chance: Random) -> None:
    """The through-hull for a loop of one unit, used for all of them."""
    table["part"][OUTLET]["bore"] = "1/4 in"


_UNEVEN = (*SHORT, "unbalanced", "cannot-balance")
BRANCH_WAYS = [
    Sabotage(change.__name__.replace("_", " "), change, frozenset(codes))
    for change, codes in (
        (valve_nearly_shut, _UNEVEN),
        (narrow_branch, _UNEVEN),
        (narrow_header, _UNEVEN),
        (larger_unit, _UNEVEN),
        (unit_far_up, (*_UNEVEN, "start-head-short")),
        (branch_over_frames, (*_UNEVEN, *AIR)),
        (way_round, _UNEVEN),
        (overboard_under_water, ("seacock-missing",)),
        (coil_behind_coil, (*_UNEVEN, "condensing-high")),
        (outlet_fitting_of_one_unit, _UNEVEN),
    )
]
