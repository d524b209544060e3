"""Heat at the condenser: its balance, its limits, and the law of its water-side film."""

import math

import numpy as np
import pytest

from loop.curve import Array
from loop.hydraulics import Network, build, solve
from loop.hydraulics.network import SEA_OUT
from loop.job import Job, Unit, parse_job
from loop.margins.heat import (
    TRIPS,
    Exchanger,
    condensing_temperature,
    conductance,
    rated_conductance,
    water_rise,
)
from loop.margins.warming import inlet_rises, recirculates, units_upstream
from loop.seawater import Water
from tests.loops import Table, plain_loop

SEA = Water(temperature=24.0, salinity=35.0)
UNIT = Unit(name="saloon", cooling=3517.0)
NEED, HEAT = UNIT.needed_flow, UNIT.rejected_heat
CAPACITY = SEA.density * SEA.heat_capacity


def test_what_the_water_takes_up_is_the_heat_rejected() -> None:
    for flow in (0.3 * NEED, NEED, 4 * NEED):
        assert float(water_rise(HEAT, flow, SEA)) * flow * CAPACITY == pytest.approx(HEAT)
    # No heat, no rise; half the flow, twice the rise.
    assert water_rise(0.0, NEED, SEA) == 0
    assert water_rise(HEAT, NEED / 2, SEA) == pytest.approx(2 * water_rise(HEAT, NEED, SEA))


def test_water_that_stands_takes_no_heat_away_and_back_is_as_good_as_forth() -> None:
    flow = np.array([0.0, 1e-13, -NEED, NEED])
    with np.errstate(all="raise"):
        rise = water_rise(HEAT, flow, SEA)
        hot = condensing_temperature(UNIT, flow, 24.0, SEA)
    assert np.isinf(rise).tolist() == np.isinf(hot).tolist() == [True, False, False, False]
    assert np.all(rise > 0)
    assert np.all(hot > 24.0)
    assert (rise[2], hot[2]) == (rise[3], hot[3])


def test_at_the_needed_flow_it_condenses_an_approach_above_the_leaving_water() -> None:
    """The definition of the approach, for any unit, sea and approach."""
    for approach in (2.0, 5.6, 11.0):
        unit = UNIT.model_copy(update={"approach": approach})
        leaving = 24.0 + float(water_rise(HEAT, NEED, SEA))
        hot = float(condensing_temperature(unit, NEED, 24.0, SEA))
        assert hot == pytest.approx(leaving + approach)
        # Effectiveness 1 − exp(−NTU), NTU = UA/(ρ Q cp): the same, from the other side.
        transfer = rated_conductance(unit, SEA) / (NEED * CAPACITY)
        assert (leaving - 24.0) / (hot - 24.0) == pytest.approx(1 - math.exp(-transfer))


def test_the_water_film_goes_with_the_flow_to_the_0_8() -> None:
    """Half the resistance in the water: at twice the flow 0.5/2^0.8 + 0.5 = 0.787 of it remains.

    2^0.8 = 1.7411: 0.5/1.7411 = 0.28717. At half the flow 0.5 · 1.7411 + 0.5 = 1.37055.
    """
    rated = rated_conductance(UNIT, SEA)
    assert conductance(UNIT, 2 * NEED, SEA) == pytest.approx(rated / 0.78717, rel=1e-5)
    assert conductance(UNIT, NEED / 2, SEA) == pytest.approx(rated / 1.37055, rel=1e-5)
    # A film as good as a clean condenser's whole resistance is added.
    assert conductance(UNIT, NEED / 2, SEA, fouling=1.0) == pytest.approx(rated / 2.37055, rel=1e-5)
    assert conductance(UNIT, NEED / 2, SEA, ua=0.7) == pytest.approx(
        0.7 * rated / 1.37055, rel=1e-5
    )
    # With almost no flow it conducts almost nothing.
    assert conductance(UNIT, 0.0, SEA) < 1e-4 * rated


def test_with_water_without_end_only_the_wall_is_left() -> None:
    """The water then stays at the sea's temperature, and condensing is Q/UA above it.

    Without the film's half of the resistance, UA is twice the rated one.
    """
    hot = float(condensing_temperature(UNIT, 1e8 * NEED, 24.0, SEA))
    assert hot - 24.0 == pytest.approx(HEAT / (2 * rated_conductance(UNIT, SEA)), rel=1e-5)


def test_condensing_moves_with_the_sea_and_falls_with_flow_and_cleanness() -> None:
    flows = np.linspace(0.1, 3.0, 50) * NEED
    hot = condensing_temperature(UNIT, flows, 24.0, SEA)
    assert np.all(np.diff(hot) < 0)
    assert condensing_temperature(UNIT, flows, 29.0, SEA) == pytest.approx(hot + 5)
    assert np.all(condensing_temperature(UNIT, flows, 24.0, SEA, Exchanger(fouling=0.3)) > hot)
    assert np.all(condensing_temperature(UNIT, flows, 24.0, SEA, Exchanger(ua=1.2)) < hot)
    # An array is its numbers one by one.
    each = [float(condensing_temperature(UNIT, float(f), 24.0, SEA)) for f in flows]
    assert hot == pytest.approx(each)


def test_a_unit_twice_as_large_with_twice_the_water_condenses_the_same() -> None:
    twice = Unit(name="saloon", cooling=2 * 3517.0)
    one = condensing_temperature(UNIT, 0.7 * NEED, 24.0, SEA)
    assert condensing_temperature(twice, 1.4 * NEED, 24.0, SEA) == pytest.approx(one)
    assert rated_conductance(twice, SEA) == pytest.approx(2 * rated_conductance(UNIT, SEA))


SEA_30 = Water(temperature=30.0, salinity=35.0)
HOSE: Table = {"kind": "hose", "length": "3 ft", "to": "5 in"}
OUTLET: Table = {"kind": "discharge", "height": "5 in"}


def served(*names: str) -> list[Table]:
    """Condensers in series, each with its hose."""
    parts = ({"kind": "condenser", "serves": n, "loss": "1 psi at 300 gal/h"} for n in names)
    return [part for condenser in parts for part in (HOSE, condenser)]


def loop_of(cooling: dict[str, str], *after_pump: Table) -> Job:
    """A loop with these units, and these parts between the pump and the last hose."""
    loop = plain_loop()
    units = [{"name": name, "cooling": power} for name, power in cooling.items()]
    water = {"temperature": "30 degC", "salinity": 35}
    parts = [*loop["part"][:7], *after_pump, HOSE, loop["part"][-1]]
    return parse_job({**loop, "water": water, "condenser": units, "part": parts})


def manifold(**branches: list[Table]) -> Table:
    """A manifold whose branches rejoin, except those with a discharge."""
    ends = {name: [] if parts[-1] == OUTLET else [HOSE] for name, parts in branches.items()}
    ways = [{"name": name, "part": [*parts, *ends[name]]} for name, parts in branches.items()]
    return {"kind": "manifold", "branch": ways}


def flows_of(network: Network, main: float, **branches: float) -> Array:
    """Flow of every line [m³/s], given those of the branches."""
    return np.array([branches.get(line.branch.replace(" / ", "_"), main) for line in network.lines])


def warmth(network: Network, line_flow: Array, sea: float = 30.0) -> dict[str, float]:
    """Rise of each unit's inlet water over the sea [K], by name."""
    (rises,) = inlet_rises(network, line_flow, sea)
    return dict(zip((u.name for u in network.job.condenser), map(float, rises), strict=True))


def test_the_second_of_two_in_line_gets_the_water_that_the_first_has_warmed() -> None:
    """By hand: 0.2 L/s of sea water of 30 °C and salinity 35, 1021.7 kg/m³ and 4001.5 J/(kg K).

    The stream carries 1021.7 · 0.0002 · 4001.5 = 817.67 W/K. Cabin rejects 2000 · 1.25 = 2500 W,
    which warms it by 2500/817.67 = 3.0575 K. Bunk rejects 1600 · 1.25 = 2000 W, which warms it by
    2.4460 K. Bunk's need: 1600/3516.853 of 180 gal/h (0.18927 L/s), 0.086109 L/s; the rise there is
    2000/(1021.7 · 8.6109e-5 · 4001.5) = 5.6811 K, so that its approach of 10 °F = 5.5556 K makes
    NTU_r = ln(1 + 5.6811/5.5556) = 0.70440 and UA_r = 0.70440 · 352.04 = 247.98 W/K. At 2.32264
    times the need UA = 247.98/(0.5/2.32264^0.8 + 0.5) = 247.98/0.754789 = 328.54 W/K, NTU =
    328.54/817.67 = 0.40180, effectiveness 0.33088: it condenses 2.4460/0.33088 = 7.3924 K over the
    water that comes to it, at 30 + 3.0575 + 7.3924 = 40.450 °C.
    """
    job = loop_of({"cabin": "2000 W", "bunk": "1600 W"}, *served("cabin", "bunk"))
    network = build(job)
    rises = warmth(network, np.array([2e-4]))
    assert rises["cabin"] == 0
    assert rises["bunk"] == pytest.approx(3.0575, rel=1e-4)
    unit = job.unit("bunk")
    hot = condensing_temperature(unit, 2e-4, 30.0 + rises["bunk"], network.water)
    assert float(hot) == pytest.approx(40.450, abs=2e-3)
    # The other way round, bunk comes first.
    back = warmth(network, np.array([-2e-4]))
    assert back == {"cabin": pytest.approx(2.4460, rel=1e-4), "bunk": 0}
    assert units_upstream(network, np.array([2e-4]), "bunk") == ("cabin",)
    assert units_upstream(network, np.array([-2e-4]), "bunk") == ()
    assert units_upstream(network, np.array([0.0]), "bunk") == ()
    assert warmth(network, np.array([0.0])) == {"cabin": 0, "bunk": 0}


INNER = manifold(aa=served("aa"), ab=served("ab"))
NESTED = loop_of(
    {"aa": "2000 W", "ab": "3000 W", "b": "2500 W", "first": "1500 W", "last": "1000 W"},
    *served("first"),
    manifold(A=[HOSE, INNER], b=served("b")),
    *served("last"),
)


def test_waters_mix_by_their_flows() -> None:
    """By hand, with w = 4.0883e6 J/(m³ K): 0.6 L/s comes, 0.4 L/s of it through A.

    first: 1875 W into 0.6 L/s (2453.0 W/K), 0.76437 K. aa: 2500 W into 0.1 L/s, 6.1150 K more,
    6.8794 K. ab: 3750 W into 0.3 L/s, 3.0575 K more, 3.8219 K. b: 3125 W into 0.2 L/s (817.66 W/K),
    3.8219 K more, 4.5863 K. Where all meet: (0.1 · 6.8794 + 0.3 · 3.8219 + 0.2 · 4.5863)/0.6 =
    4.5863 K, which is what (1875 + 2500 + 3750 + 3125) W make of 0.6 L/s.
    """
    network = build(NESTED)
    flows = flows_of(network, 6e-4, A=4e-4, A_aa=1e-4, A_ab=3e-4, b=2e-4)
    rises = warmth(network, flows)
    assert rises["first"] == 0
    assert [rises[n] for n in ("aa", "ab", "b")] == pytest.approx([0.76437] * 3, rel=1e-4)
    assert rises["last"] == pytest.approx(4.5863, rel=1e-4)
    assert units_upstream(network, flows, "last") == ("aa", "ab", "b", "first")
    assert units_upstream(network, flows, "b") == ("first",)


def test_water_that_runs_back_is_followed() -> None:
    """A's valve is shut: of b's 0.4 L/s, 0.1 run back through A's end and ab, and out through aa.

    By hand, 0.1 L/s being 408.83 W/K: b adds 3125/(4 · 408.83) = 1.91094 K, ab 3750/408.83 =
    9.17251 K, so that aa gets its water 11.08345 K warmer than the sea. What goes on is b's.
    """
    inner = manifold(aa=[*served("aa"), HOSE, OUTLET], ab=served("ab"))
    units = {"aa": "2000 W", "ab": "3000 W", "b": "2500 W", "last": "1000 W"}
    valve = {"kind": "seacock", "open": "0 %"}
    ways = manifold(A=[valve, HOSE, inner], b=served("b"))
    network = build(loop_of(units, ways, *served("last")))
    flows = flows_of(network, 4e-4, A=-1e-4, A_aa=1e-4, A_ab=-1e-4, b=4e-4)
    flows[[line.shut for line in network.lines]] = 0.0
    flows[[line.end == SEA_OUT and not line.branch for line in network.lines]] = 3e-4
    rises = warmth(network, flows)
    assert rises["b"] == 0
    assert rises["ab"] == pytest.approx(1.91094, rel=1e-4)
    assert rises["aa"] == pytest.approx(11.08345, rel=1e-4)
    assert rises["last"] == pytest.approx(1.91094, rel=1e-4)
    assert units_upstream(network, flows, "aa") == ("ab", "b")
    assert units_upstream(network, flows, "last") == ("b",)


def test_all_heat_leaves_with_the_water_that_leaves() -> None:
    """Where all branches of a solved loop rejoin, the water holds the heat of every unit."""
    point = solve(NESTED)
    network = point.network
    heat = sum(unit.rejected_heat for unit in NESTED.condenser if unit.name != "last")
    met = heat / (SEA_30.density * SEA_30.heat_capacity * point.flow)
    assert warmth(network, point.line_flow)["last"] == pytest.approx(met, rel=1e-6)
    double = inlet_rises(network, point.line_flow, 30.0, heat=2.0)[0, -1]
    assert double == pytest.approx(2 * met, rel=1e-6)


def test_neither_the_order_of_branches_nor_that_of_units_matters() -> None:
    one = build(NESTED)
    inner = manifold(ab=served("ab"), aa=served("aa"))
    other = build(
        loop_of(
            {"last": "1000 W", "b": "2500 W", "ab": "3000 W", "first": "1500 W", "aa": "2000 W"},
            *served("first"),
            manifold(b=served("b"), A=[HOSE, inner]),
            *served("last"),
        )
    )
    flow = {"A": 4e-4, "A_aa": 1e-4, "A_ab": 3e-4, "b": 2e-4}
    found = [warmth(network, flows_of(network, 6e-4, **flow)) for network in (one, other)]
    assert found[0] == pytest.approx(found[1], rel=1e-12)


def test_many_cases_are_each_case_by_itself() -> None:
    network = build(NESTED)
    shares = np.array([[0.1, 0.3], [0.2, 0.2], [0.0, 0.4], [0.35, 0.05]]) * 1e-3
    flows = np.array([flows_of(network, 6e-4, A=4e-4, A_aa=a, A_ab=b, b=2e-4) for a, b in shares])
    flows[3] *= -1
    sea, heat = np.array([20.0, 30.0, 25.0, 31.0]), np.array([1.0, 0.9, 1.1, 1.0])
    every = inlet_rises(network, flows, sea, heat)
    assert every.shape == (4, 5)
    for row in range(4):
        alone = inlet_rises(network, flows[row], sea[row], heat[row])[0]
        assert every[row] == pytest.approx(alone, rel=1e-12)


def test_no_water_gets_hotter_than_a_unit_does() -> None:
    """A trickle through one of two units brings no more heat than at the limit, and none at 0."""
    network = build(NESTED)
    for trickle in (1e-9, 1e-7, 2e-6):
        flows = flows_of(network, 6e-4, A=4e-4, A_aa=trickle, A_ab=4e-4 - trickle, b=2e-4)
        without = flows_of(network, 6e-4, A=4e-4, A_aa=0.0, A_ab=4e-4, b=2e-4)
        more = warmth(network, flows)["last"] - warmth(network, without)["last"]
        assert 0 < more < trickle / 6e-4 * (TRIPS - 30.0)
    # In line with it, the next unit gets water at the limit.
    network = build(loop_of({"big": "50 kW", "small": "1 kW"}, *served("big", "small")))
    assert warmth(network, np.array([1e-5]))["small"] == TRIPS - 30.0


def test_water_straight_from_the_sea_is_exactly_as_warm_as_the_sea() -> None:
    own = manifold(a=served("a"), b=[*served("b"), HOSE, OUTLET])
    point = solve(loop_of({"a": "2000 W", "b": "3000 W"}, own))
    assert set(warmth(point.network, point.line_flow).values()) == {0.0}


def test_water_that_goes_round_keeps_the_heat_balance() -> None:
    """0.3 L/s through a, of which 0.1 L/s come back through b: 2500 W and 3125 W in 0.2 L/s.

    What leaves is 5625/817.66 = 6.8794 K warmer than the sea. With y there, b's water leaves b at
    y + 3125/408.83 = y + 7.6438 K and mixes with the sea's: (0.1 · 14.5232)/0.3 = 4.8411 K to a.
    """
    job = loop_of(
        {"a": "2000 W", "b": "2500 W", "last": "1000 W"},
        manifold(a=served("a"), b=served("b")),
        *served("last"),
    )
    network = build(job)
    flows = flows_of(network, 2e-4, a=3e-4, b=-1e-4)
    assert recirculates(network, flows)
    assert not recirculates(network, flows_of(network, 2e-4, a=1e-4, b=1e-4))
    rises = warmth(network, flows)
    assert rises["last"] == pytest.approx(6.8794, rel=1e-4)
    assert rises["b"] == pytest.approx(6.8794, rel=1e-4)
    assert rises["a"] == pytest.approx(4.8411, rel=1e-4)
