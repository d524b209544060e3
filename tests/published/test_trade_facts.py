"""Facts of the trade as checks: common practice, without a source."""

import numpy as np
import pytest

from loop.check import CheckResult, check
from loop.curve import Array
from loop.hydraulics import Cases, build, solve_flows
from loop.job import Job, parse_job
from loop.margins.heat import condensing_temperature
from loop.parts import Strainer
from loop.units import parse


def loop_of(bore: str, run: float, sea: str = "75 degF") -> Job:
    """A 9,000 BTU/h unit on a pump rated near 250 gal/h, with `run` feet of hose to it."""
    return parse_job(
        {
            "water": {"temperature": sea},
            "defaults": {"bore": bore},
            "condenser": [{"name": "cabin", "cooling": "9000 BTU/h"}],
            "part": [
                {"kind": "intake", "height": "-16 in"},
                {"kind": "seacock"},
                {"kind": "hose", "length": "3 ft", "to": "-12 in"},
                {"kind": "strainer", "loss": "0.4 psi at 300 gal/h"},
                {"kind": "hose", "length": "2 ft", "to": "-10 in"},
                {"kind": "pump", "curve": "demo-ac-250"},
                {"kind": "bleed"},
                {"kind": "hose", "length": f"{run} ft", "to": "12 in"},
                {"kind": "condenser", "serves": "cabin", "loss": "1.5 psi at 150 gal/h"},
                {"kind": "hose", "length": f"{0.6 * run} ft", "to": "4 in"},
                {"kind": "discharge", "height": "4 in"},
            ],
        }
    )


def shares(result: CheckResult) -> tuple[float, float]:
    """Low limit of the band, and calculated flow, over the need."""
    unit = result.condensers[0]
    return unit.flow_low / unit.needed_flow, unit.flow / unit.needed_flow


def test_the_pump_is_rated_near_250_gallons_an_hour() -> None:
    pump = loop_of("5/8 in", 6).pump.curve
    assert pump.last_flow == pytest.approx(parse("250 gal/h", "flow"), rel=0.02)
    assert float(pump.head(pump.last_flow)) < 0.1 * pump.shutoff_head


@pytest.mark.parametrize("bore", ["5/8 in", "3/4 in"])
def test_it_suffices_for_9000_btu_on_a_short_loop(bore: str) -> None:
    """Sufficient down to the low limit of the band."""
    low, middle = shares(check(loop_of(bore, 6)))
    assert low > 1
    assert middle < 1.5  # a match, not oversized


@pytest.mark.parametrize("bore", ["5/8 in", "3/4 in"])
def test_it_leaves_less_on_a_long_loop(bore: str) -> None:
    assert shares(check(loop_of(bore, 30))) < shares(check(loop_of(bore, 6)))


def test_it_leaves_little_to_spare_on_a_long_loop() -> None:
    """About 50 ft of 5/8 in hose in all: the need is just met, and the band extends below it."""
    low, middle = shares(check(loop_of("5/8 in", 30)))
    assert 1.0 <= middle < 1.1
    assert low < 1


def blocked_sweep(job: Job, blocked: Array) -> tuple[Array, Array]:
    """Flow over need, and condensing temperature [°F], with these shares of the basket blocked."""
    network = build(job)
    factors = np.ones((len(blocked), len(network.parts)))
    basket = next(i for i, part in enumerate(network.parts) if isinstance(part, Strainer))
    strainer = network.parts[basket]
    assert isinstance(strainer, Strainer)
    factors[:, basket] = strainer.blocked_factor(blocked)
    unit = job.condenser[0]
    flow = solve_flows(network, Cases(loss=factors)).line_flow[:, 0]
    condensing = condensing_temperature(unit, flow, job.water.temperature, job.water.properties)
    return flow / unit.needed_flow, condensing * 1.8 + 32


def test_a_clogging_strainer_shows_itself_by_105_to_110_degrees() -> None:
    """Mild water: near 80 °F when clean; 105 to 110 °F goes with a flow far below the need."""
    blocked = np.linspace(0, 0.99, 400)
    flow, condensing = blocked_sweep(loop_of("5/8 in", 8, sea="62 degF"), blocked)
    assert condensing[0] == pytest.approx(80, abs=3)
    assert flow[0] > 1
    assert np.all(np.diff(condensing) > 0)
    assert np.all(np.diff(flow) < 0)
    alarm = (condensing >= 105) & (condensing <= 110)
    assert np.any(alarm)
    assert np.all(flow[alarm] < 0.5)
    assert np.all(flow[alarm] > 0.1)


def test_the_sweep_is_the_strainers_own_blockage() -> None:
    """One point of the sweep against the job with that blockage in its file."""
    job = loop_of("5/8 in", 8)
    flow, _ = blocked_sweep(job, np.array([0.8]))
    parts = [
        part.model_copy(update={"blocked": 0.8}) if isinstance(part, Strainer) else part
        for part in job.part
    ]
    clogged = check(job.model_copy(update={"part": tuple(parts)})).condensers[0]
    assert clogged.flow / clogged.needed_flow == pytest.approx(float(flow[0]), rel=1e-3)
