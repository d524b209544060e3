"""Monte Carlo loops: what the samples are, what they share, and what they represent."""

import numpy as np
import pytest

from loop import tolerances
from loop.check import check
from loop.hydraulics import build, solve_flows
from loop.hydraulics.monte_carlo import (
    _GAMMA,
    COLUMN,
    SHARED,
    _splitmix64,
    draw_columns,
    latin_hypercube,
    pump_tolerances,
    sampled_cases,
)
from loop.job import read_job
from loop.parts import Hose, Pump
from loop.sweep import boats as drawn_boats
from loop.words.commands import SAY
from tests.branches import branched
from tests.command_line import EXAMPLES
from tests.loops import job_of


def test_standard_draws_are_standard_normal_and_independent() -> None:
    """Stratified, so mean and variance are closer than chance would have them."""
    normal = latin_hypercube(2000, 6, 3)
    assert abs(normal.mean(axis=0)).max() < 1e-3
    assert normal.var(axis=0) == pytest.approx(np.ones(6), abs=5e-3)
    assert abs(np.corrcoef(normal.T) - np.eye(6)).max() < 5 / np.sqrt(2000)
    inside = np.mean(abs(normal) < 1.959964, axis=0)
    assert inside == pytest.approx(np.full(6, 0.95), abs=1e-3)


def test_the_same_seed_draws_the_same_whatever_comes_after() -> None:
    assert np.array_equal(latin_hypercube(50, 3, 3), latin_hypercube(50, 7, 3)[:, :3])
    assert not np.array_equal(latin_hypercube(50, 3, 3), latin_hypercube(50, 3, 4))


def test_a_draw_of_nothing_leaves_the_loop_as_it_is() -> None:
    network = build(branched(2))
    cases = sampled_cases(network, np.zeros((1, draw_columns(network))))
    assert cases.loss == pytest.approx(np.ones((1, len(network.parts))))
    assert solve_flows(network, cases).line_flow == pytest.approx(solve_flows(network).line_flow)


@pytest.mark.parametrize("seed", range(12))
def test_a_drawn_loop_is_the_loop_with_those_bores_barbs_and_linings(seed: int) -> None:
    """Factors on tabulated losses against a job whose hoses are changed one at a time."""
    job = job_of((8, "lining", "ribbed"), (3, "barb_bore", "0.62 in"))
    network = build(job)
    normal = np.random.default_rng(seed).standard_normal((1, draw_columns(network)))
    drawn = solve_flows(network, sampled_cases(network, normal)).line_flow[0, 0]
    only = normal.copy()
    for name in ("bore", "barb", "barb_measured", "lining"):
        only[0, COLUMN[name]] = 0.0
    at = {name: normal[0, column] for name, column in COLUMN.items()}

    def changed(part: object) -> object:
        if not isinstance(part, Hose):
            return part
        measured = part.barb_bore is not None
        one = tolerances.BARB_MEASURED if measured else tolerances.BARB
        barb = part.barb * (1 + one.sigma * at["barb_measured" if measured else "barb"])
        bore = part.inner_bore + tolerances.BORE.sigma * at["bore"]
        update = {"bore": bore, "barb_bore": min(barb, bore)}
        if part.lining == "ribbed":
            low, high = tolerances.RIBBED
            edge = high if at["lining"] > 0 else low
            update["roughness"] = 1e-3 * (edge / 1e-3) ** (abs(at["lining"]) / 2)
        return part.model_copy(update=update)

    other = build(job.model_copy(update={"part": tuple(map(changed, job.part))}))
    by_hand = solve_flows(other, sampled_cases(other, only)).line_flow[0, 0]
    assert drawn == pytest.approx(by_hand, rel=0.01)


def test_losses_are_half_common_and_half_each_lines_own() -> None:
    """Each part ±25 % at two standard deviations; half the variance between two lines."""
    network = build(branched(4))
    normal = latin_hypercube(20_000, draw_columns(network), 1)
    # Bores and barbs come on top, and have tests of their own.
    normal[:, [COLUMN[name] for name in ("bore", "barb", "barb_measured", "lining")]] = 0.0
    loss = sampled_cases(network, normal).loss
    assert loss is not None
    units = [network.condenser_part(unit.name) for unit in network.job.condenser]
    logs = np.log(loss[:, units])
    assert logs.std(axis=0) == pytest.approx(np.full(4, 0.125), rel=0.03)
    shared = np.corrcoef(logs.T)[np.triu_indices(4, 1)]
    assert shared == pytest.approx(np.full(6, 0.5), abs=0.03)


def test_parts_of_one_line_share_its_draw() -> None:
    network = build(job_of(*((number, "barbs", 0) for number in (3, 5, 8, 10))))
    normal = np.zeros((1, draw_columns(network)))
    normal[0, len(SHARED)] = 1.0
    loss = sampled_cases(network, normal).loss
    assert loss is not None
    pump = network.pump_index
    others = [index for index in range(len(network.parts)) if index != pump]
    assert np.ptp(loss[0, others]) == 0
    assert loss[0, others[0]] > 1
    assert loss[0, pump] == 1


def test_after_a_baseline_its_own_spread_stands_for_the_priors() -> None:
    """Spread and correlation of loss and speed are those of the fit."""
    network = build(
        job_of(("fitted", "spread", [0.05, 0.012, 0.08]), ("fitted", "correlation", [0.6, 0, 0]))
    )
    cases = sampled_cases(network, latin_hypercube(20_000, draw_columns(network), 2))
    assert cases.loss is not None
    own = tolerances.AFTER_BASELINE * 0.125 * np.sqrt(0.5)
    logs, speed = np.log(cases.loss[:, 0]), np.log(cases.speed)
    assert logs.std() == pytest.approx(np.hypot(0.05, own), rel=0.02)
    assert speed.std() == pytest.approx(0.012, rel=0.02)
    assert np.cov(logs, speed)[0, 1] == pytest.approx(0.6 * 0.05 * 0.012, rel=0.05)


def test_a_pump_by_its_nameplate_is_less_sure() -> None:
    pump = build(job_of()).pump
    known = pump.curve.model_dump()
    plates = ({"flow": 3e-4, "head": 3.5}, {"flow": 3e-4, "power": 57.0})
    named, guessed = (
        pump_tolerances(Pump.model_validate({"curve": {**known, "curve": {"nameplate": plate}}}))
        for plate in plates
    )
    for wide, narrow in zip(named, pump_tolerances(pump), strict=True):
        assert wide.half > narrow.half
    assert guessed[0] == named[0]
    assert guessed[1].half > named[1].half


def test_iso_9906_grade_2b_and_the_estimates() -> None:
    """ISO 9906:2012, grade 2B: 8 % of flow, 5 % of head, 8 % of power."""
    assert tolerances.PUMP_FLOW.half == 0.08
    assert tolerances.PUMP_HEAD.half == 0.05
    assert tolerances.PUMP_POWER.half == 0.08
    for one in vars(tolerances).values():
        if isinstance(one, tolerances.Tolerance):
            assert one.source
            assert one.half > 0


def test_draws_are_shuffled_by_splitmix64() -> None:
    """First outputs for seed 1234567, as printed by the authors' reference code."""
    state = np.array([1234567], dtype=np.uint64)
    steps = np.arange(1, 4, dtype=np.uint64)
    assert _splitmix64(state + _GAMMA * steps).tolist() == [
        6457827717110365317,
        3203168211198807973,
        9817491932198370423,
    ]


def test_no_boat_has_its_water_where_the_loop_does_not_start() -> None:
    petrel, fixed = (
        drawn_boats(read_job(EXAMPLES / f"{name}.toml"), 100) for name in ("petrel", "petrel-fixed")
    )
    assert not petrel.starts.any()
    assert petrel.chance.tolist() == [0.0]
    assert petrel.chance_once_primed.tolist() == [1.0]
    assert petrel.to_dict()["notes"] == [SAY("points-not-started")]
    assert fixed.starts.all()
    assert fixed.chance.tolist() == fixed.chance_once_primed.tolist() == [1.0]
    assert fixed.to_dict()["notes"] == []


def test_each_boat_starts_on_the_head_of_its_own_pump() -> None:
    """Half of the pumps exceed the median shut-off head, and start where it just suffices."""
    job = read_job(EXAMPLES / "kittiwake.toml")
    held = check(job, fixes=False).air[0].shutoff_head
    height = round(held, 6)
    lifted = job.replace(
        {
            "part[10].length": height + 1,
            "part[10].to": height,
            "part[11].height": height,
        }
    )
    found = drawn_boats(lifted, 400)
    assert found.starts.mean() == pytest.approx(0.5, abs=0.05)
    assert (found.total_flow[~found.starts] == 0).all()
