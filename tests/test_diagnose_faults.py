"""Faults as changes of the model: each moves the readings in the direction known to the trade."""

from pathlib import Path

import numpy as np
import pytest

from loop.diagnose import FAULTS, fault_sites, prepare, uncertainty
from loop.diagnose.fault_effects import held_air, scaled, turned
from loop.diagnose.instances import all_changes, instances
from loop.diagnose.instruments import instruments
from loop.diagnose.model_change import ModelChange, Site
from loop.diagnose.predict import predict
from loop.diagnose.sites import FELT
from loop.diagnose.solved_loops import states
from loop.diagnose.uncertainty import INDEX, NAMES, ParameterDistribution, parameter_prior
from loop.hydraulics import Cases, solve, solve_flows
from loop.hydraulics.monte_carlo import fitted_covariance
from loop.job import Job, parse_job, read_job, read_toml
from loop.margins.heat import TRIPS

EXAMPLES = Path(__file__).parent.parent / "examples"
NO_DOUBT = np.zeros((1, len(NAMES)))


@pytest.fixture(scope="module")
def job() -> Job:
    return read_job(EXAMPLES / "kittiwake.toml")


def read(job: Job, *changes: ModelChange, exact: bool = False) -> dict[str, np.ndarray]:
    place = instruments(job)
    doubts = NO_DOUBT.copy()
    values = predict(place, states(place, list(changes), doubts), exact)
    return {column.key: values[:, i] for i, column in enumerate(place.columns)}


def test_a_healthy_loop_reads_what_its_stations_say(job):
    point = solve(job)
    pump = point.network.pump_index
    strainer = next(s for s in point.stations if s.kind == "strainer")
    weight = job.water.properties.density * 9.80665
    found = read(job, ModelChange(), exact=True)
    assert found["flow"][0] == pytest.approx(point.flow, rel=1e-9)
    assert found["pump_inlet_pressure"][0] == pytest.approx(point.pump_inlet.gauge_pressure)
    assert found["pump_outlet_pressure"][0] == pytest.approx(point.stations[pump].gauge_pressure)
    assert found["strainer_drop"][0] == pytest.approx(strainer.head_loss * weight)
    assert found["pump_power"][0] == pytest.approx(point.power)
    shut = (point.shutoff_head - point.network.heights[pump]) * weight
    assert found["shutoff_pressure"][0] == pytest.approx(shut)


def test_tables_and_exact_functions_agree(job):
    for one in instances(instruments(job).network, 1, {}):
        middle = len(one.severities) // 2
        change = one.changes(instruments(job).network, one.severities)[middle]
        table, exact = read(job, change), read(job, change, exact=True)
        for key, value in exact.items():
            assert table[key][0] == pytest.approx(value[0], rel=2e-3, abs=20.0), (one.name, key)


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_worse_fault_never_gives_more_flow_or_a_cooler_condenser(job, fault):
    network = instruments(job).network
    for site in fault.sites(network, 1):
        grid = np.linspace(fault.low, fault.high, 9)
        found = read(job, *(fault.change(network, site, float(v)) for v in grid))
        assert np.all(np.diff(found["flow"]) <= 1e-12)
        warmer = np.diff(found["condensing_temperature"])
        if fault.name == "refrigerant-low":  # a unit that cools less gives off less
            warmer = -warmer
        assert np.all(warmer >= -1e-9)
        assert np.all(found["condensing_temperature"] <= TRIPS)


def test_where_a_restriction_sits_shows_at_the_gauges(job):
    network = instruments(job).network
    by_name = {f.name: f for f in FAULTS}

    def reading(name: str, severity: float) -> dict[str, np.ndarray]:
        site = next(iter(by_name[name].sites(network, 1)))
        return read(job, by_name[name].change(network, site, severity))

    well = read(job, ModelChange())
    suction, pressure = reading("intake-fouled", 0.93), reading("discharge-blocked", 0.93)
    assert suction["pump_inlet_pressure"][0] < well["pump_inlet_pressure"][0]
    assert suction["pump_outlet_pressure"][0] < well["pump_outlet_pressure"][0]
    assert pressure["pump_outlet_pressure"][0] > well["pump_outlet_pressure"][0]
    assert pressure["pump_inlet_pressure"][0] > well["pump_inlet_pressure"][0]
    film = reading("condenser-film", 1.0)
    assert film["flow"][0] == well["flow"][0]
    assert film["condensing_temperature"][0] > well["condensing_temperature"][0] + 1


def test_a_blocked_strainer_is_the_part_with_its_basket_blocked(job):
    data = read_toml(EXAMPLES / "kittiwake.toml")
    next(p for p in data["part"] if p["kind"] == "strainer")["blocked"] = "80 %"
    as_part = read(parse_job(data), ModelChange())
    fault = next(f for f in FAULTS if f.name == "strainer-blocked")
    network = instruments(job).network
    as_fault = read(job, fault.change(network, next(iter(fault.sites(network, 1))), 0.8))
    for key, value in as_part.items():
        assert as_fault[key][0] == pytest.approx(value[0], rel=1e-6), key


def test_a_turned_seacock_and_scale_are_the_parts_own(job):
    data = read_toml(EXAMPLES / "kittiwake.toml")
    data["part"][1]["open"] = f"{100 * (1 - 0.7)} %"
    as_part = read(parse_job(data), ModelChange())
    network = instruments(job).network
    as_fault = read(job, turned(network, Site("seacock", 1), 0.7))
    assert as_fault["flow"][0] == pytest.approx(as_part["flow"][0], rel=1e-3)
    condenser = next(p for p in data["part"] if p["kind"] == "condenser")
    data["part"][1]["open"] = "100 %"
    condenser |= {"tube_bore": "14 mm", "scale": "1.4 mm"}
    part = network.condenser_part("saloon")
    as_fault = read(job, scaled(network, Site("condenser", part, 0), 0.1))
    assert as_fault["flow"][0] == pytest.approx(read(parse_job(data), ModelChange())["flow"][0])


def test_no_flow_is_told_without_infinities(job):
    fault = next(f for f in FAULTS if f.name == "pump-decoupled")
    found = read(job, fault.change(instruments(job).network, Site("pump"), 1.0))
    assert found["flow"][0] == 0
    assert all(np.isfinite(value[0]) for value in found.values())


def test_the_moments_of_the_draws_are_the_doubts_own(job):
    whole = parameter_prior(job)
    draws = whole.draws(16)
    assert draws.mean(axis=0) == pytest.approx(whole.mean, abs=1e-12)
    centred = draws - whole.mean
    assert centred.T @ centred / len(draws) == pytest.approx(whole.covariance, abs=1e-12)


def test_the_draws_that_are_written_down_are_drawn_as_all_others(monkeypatch):
    whole = ParameterDistribution(np.zeros(len(NAMES)), np.eye(len(NAMES)))
    written = whole.draws(16)
    monkeypatch.setattr(uncertainty, "_WRITTEN", 0)
    np.testing.assert_array_equal(written, whole.draws(16))


def test_a_linear_reading_has_its_exact_spread(job):
    study = prepare(job)
    sea = study.instruments.column_of["sea_temperature"]
    healthy = study.healthy
    expected = parameter_prior(job).covariance[INDEX["sea"], INDEX["sea"]]
    variance = (study.factor[healthy, sea] ** 2).sum() + study.noise[healthy, sea]
    assert variance == pytest.approx(expected)


def test_rounded_correlations_stay_possible():
    matrix = fitted_covariance((0.1, 0.02, 0.1), (0.99, -0.99, 0.99))
    assert np.linalg.eigvalsh(matrix)[0] > 0
    ParameterDistribution(np.zeros(3), matrix)


def test_air_in_a_falling_leg_is_the_legs_own_state():
    """A lost siphon is the loop solved with air in that leg; it cannot happen in a leg with air."""
    job = read_job(EXAMPLES / "sandpiper.toml")
    place = instruments(job)
    (site,) = next(f for f in FAULTS if f.name == "high-point-air").sites(place.network, 1)
    assert solve(job).legs[0].state == "full"
    lost = held_air(place.network, site, 1.0)
    air = np.zeros((1, len(place.network.sections)), dtype=bool)
    air[0, list(lost.legs)] = True
    dry = solve_flows(place.network, Cases(air=air)).line_flow[0, place.network.pump_line]
    found = read(job, ModelChange(), lost, held_air(place.network, site, 0.5))["flow"]
    assert found[1] == pytest.approx(dry, rel=1e-4)
    assert found[1] < found[2] < found[0]
    # Its last fall is so short that air in it takes nothing.
    assert fault_sites(job, "siphon-lost") == ()
    # As it starts, this one's first leg already holds air: such a fault could not appear.
    curlew = read_job(EXAMPLES / "curlew.toml")
    assert [one.state for one in solve(curlew).legs] == ["either", "full"]
    assert fault_sites(curlew, "high-point-air") == ()


def test_a_siphon_whose_loss_nobody_would_notice_is_no_fault(tmp_path: Path) -> None:
    """Air in the last fall costs this boat 2 % of its flow; with the unit higher up, a tenth."""
    low = (EXAMPLES / "petrel.toml").read_text(encoding="utf-8")
    high = tmp_path / "high.toml"
    high.write_text(low.replace('to = "16 in"', 'to = "36 in"'), encoding="utf-8")
    assert fault_sites(read_job(EXAMPLES / "petrel.toml"), "siphon-lost") == ()
    job = read_job(high)
    place = instruments(job)
    (site,) = next(f for f in FAULTS if f.name == "siphon-lost").sites(place.network, 1)
    full, dry = read(job, ModelChange(), held_air(place.network, site, 1.0))["flow"]
    assert 0.85 < dry / full < FELT


@pytest.mark.parametrize("name", ["kittiwake", "petrel", "guillemot"])
def test_loops_with_the_same_flows_read_what_each_reads_alone(name):
    """Solved once for all; no fault that changes the flow is taken for one that does not."""
    place = instruments(read_job(EXAMPLES / f"{name}.toml"))
    found = instances(place.network, len(place.units), {})
    changes = all_changes(found, place.network)[::9]
    assert len({change.of_flows for change in changes}) < len(changes)
    draws = parameter_prior(place.job).draws(1)[:2]
    alone = [predict(place, states(place, [change], draws)) for change in changes]
    together = predict(place, states(place, changes, draws))
    np.testing.assert_allclose(together, np.concatenate(alone), rtol=1e-7, atol=1e-9)
