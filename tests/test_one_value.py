"""Every constant exists once: changed, it moves check, figures, card, sizing and diagnosis alike.

Constants are changed wherever their names are held, every room evaluates a whole loop, and the
answers must agree with each other as they do unchanged.
"""

from contextlib import ExitStack
from functools import cache
from unittest.mock import patch

import numpy as np
import pytest

from loop.check import CheckResult, check
from loop.diagnose.instruments import instruments
from loop.diagnose.model_change import ModelChange
from loop.diagnose.predict import predict
from loop.diagnose.solved_loops import states
from loop.diagnose.uncertainty import INDEX, NAMES, parameter_prior
from loop.draw.fouling import fouled, solved
from loop.draw.lines import pump_curve
from loop.draw.scene import Scene
from loop.hydraulics import solve_flows
from loop.job import Job, Sizing, parse_job
from loop.sheet.spread import Spread
from loop.size.option_flows import FlowSolver
from loop.size.options import present_loop
from loop.size.uncertainty import Samples, cases, samples_of
from loop.teach.explain import explain
from tests.constants import changed

# What moves readings, each by itself.
CONSTANTS = (
    "parts.friction.GRAVITY",
    "parts.hose.BARB_OVER_HOSE",
    "parts.hose.BEND_BORES",
    "parts.hose.BARB_LENGTH",
    "parts.hose.ROUGHNESS",
    "parts.intake.SCOOP",
    "parts.intake.FACE_OVER_BORE",
    "parts.tee.RUN",
    "parts.seacock._ADDED_K",
    "parts.condenser.ONE_POINT_EXPONENT",
    "parts.scale.BORE_EXPONENT",
    "parts.scale.CONDUCTIVITY",
    "parts.scale.CLEAN_U",
    "margins.heat.WATER_SHARE",
    "margins.heat.FILM_EXPONENT",
)
# Limits that a finding compares with: they change no reading, and are tested on findings.
LIMITS = (
    "margins.heat.TRIPS",
    "margins.speed.SUCTION_MAX",
    "margins.speed.PRESSURE_MAX",
    "margins.speed.HOSE_MIN",
    "margins.speed.TUBE_MAX",
    "margins.speed.TUBE_MIN",
    "margins.suction.NPSH_RATIO",
    "margins.suction.VORTEX_FACTOR",
    "seawater.ATMOSPHERE",
    "hydraulics.clearing.WISNER",
    "hydraulics.clearing.ESCARAMEIA",
)
# The sources of the bands' widths.
TOLERANCES = (
    ("tolerances.PUMP_FLOW", "tolerances.PUMP_HEAD", "tolerances.PUMP_POWER"),
    ("tolerances.LOSS", "tolerances.LOSS_COMMON_VARIANCE", "tolerances.BLOCKED"),
    ("tolerances.BORE", "tolerances.BARB", "tolerances.BARB_MEASURED", "tolerances.RIBBED"),
    ("tolerances.HEAT", "tolerances.CONDUCTANCE", "tolerances.SEA"),
)


def kitchen_sink() -> Job:
    """A loop with every kind of part, every option of each, and two units in branches."""
    hose = {"kind": "hose", "length": "6 ft"}
    unit = {"kind": "condenser", "loss": "1.2 psi at 200 gal/h"}
    scaled = {**unit, "tube_bore": "0.5 in", "scale": "0.4 mm"}
    return parse_job(
        {
            "title": "Kitchen sink",
            "water": {"temperature": "82 degF"},
            "boat": {"speed": "6 knot"},
            "defaults": {"bore": "1 in", "lining": "smooth rubber"},
            "condenser": [
                {"name": "fore", "cooling": "12000 BTU/h"},
                {"name": "aft", "cooling": "9000 BTU/h"},
            ],
            "part": [
                {"kind": "intake", "height": "-30 in", "facing": "forward"},
                {"kind": "seacock", "open": "80 %", "port": "0.9 in"},
                {**hose, "to": "-24 in", "lining": "ribbed"},
                {"kind": "strainer", "loss": "0.4 psi at 300 gal/h", "blocked": "30 %"},
                {**hose, "to": "-20 in", "barb_bore": "0.85 in"},
                {"kind": "pump", "curve": "demo-dc-600", "supply": "12.4 V", "count": 2},
                {"kind": "bleed"},
                {"kind": "elbow", "count": 2},
                {"kind": "tee"},
                {"kind": "check valve"},
                {**hose, "to": "0 in", "sweeps": ["90 deg"], "lining": "smooth plastic"},
                {
                    "kind": "manifold",
                    "branch": [
                        {
                            "name": "fore way",
                            "part": [
                                {**hose, "to": "8 in", "bore": "3/4 in"},
                                {**scaled, "serves": "fore"},
                                {**hose, "to": "2 in", "bore": "3/4 in"},
                            ],
                        },
                        {
                            "name": "aft way",
                            "part": [
                                {**hose, "to": "2 in", "bore": "3/4 in", "length": "12 ft"},
                                {**unit, "serves": "aft"},
                                {"kind": "fitting", "k": 1.5, "bore": "3/4 in"},
                            ],
                        },
                    ],
                },
                {**hose, "to": "4 in"},
                {"kind": "discharge", "height": "4 in"},
            ],
        }
    )


def readings(result: CheckResult) -> dict[str, float]:
    """Values of a check that other rooms give as well."""
    found = {"flow": result.point.flow, "inlet": result.point.pump_inlet.gauge_pressure}
    found["power"] = result.pump.power
    found["outlet"] = result.point.stations[result.point.network.pump_index].gauge_pressure
    for unit in result.condensers:
        found[f"flow {unit.name}"] = unit.flow
        found[f"hot {unit.name}"] = unit.condensing_temperature
        found[f"rise {unit.name}"] = unit.temperature_rise
    return found


def diagnosed(job: Job) -> dict[str, float]:
    """The same as the diagnosis predicts for a healthy loop in its job's own sea, under way."""
    place = instruments(job, job.boat.speed)
    row = predict(place, states(place, [ModelChange()], np.zeros((1, len(NAMES)))))[0]
    by_key = {column.key: row[number] for number, column in enumerate(place.columns)}
    found = {
        "flow": by_key["flow"],
        "inlet": by_key["pump_inlet_pressure"],
        "outlet": by_key["pump_outlet_pressure"],
        "power": by_key["pump_power"],
    }
    sea = job.water.temperature
    for unit in job.condenser:
        found[f"flow {unit.name}"] = by_key[f"flow.{unit.name}"]
        found[f"hot {unit.name}"] = by_key[f"condensing_temperature.{unit.name}"]
        found[f"rise {unit.name}"] = by_key[f"outlet_temperature.{unit.name}"] - sea
    return {key: float(value) for key, value in found.items()}


def carded(result: CheckResult) -> dict[str, float]:
    """The same as the job sheet's card expects."""
    spread = Spread(result.point)
    found = {
        "inlet": spread.inlet_pressure().middle,
        "outlet": spread.outlet_pressure().middle,
        "power": spread.power().middle,
    }
    for unit in result.job.condenser:
        found[f"hot {unit.name}"] = spread.condensing(unit).middle
        found[f"rise {unit.name}"] = spread.rise(unit).middle
    return found


def drawn_figures(result: CheckResult) -> dict[str, float]:
    """The same from the figures' data, at the dock: the fouling curves at the present blockage."""
    found = {}
    seen = Scene(result, "us", "")
    for unit in fouled(seen, solved(seen)):
        found[f"flow {unit.unit.name}"] = float(np.interp(0.3, unit.blocked, unit.flow))
        found[f"hot {unit.unit.name}"] = float(np.interp(0.3, unit.blocked, unit.condensing))
    curve = pump_curve(result.point.network)
    head = float(np.interp(result.point.flow, curve.flow, curve.head))
    assert head == pytest.approx(result.pump.head, rel=1e-3)
    return found


def sized(result: CheckResult) -> dict[str, float]:
    """The same as sizing solves its options, in the job's present service.

    Sizing takes the lesser of the flows at rest and at speed.
    """
    job = result.job.model_copy(update={"sizing": Sizing(service_blocked=0.0)})
    shares = FlowSolver(job, {})(present_loop(job)).flow_ratios
    found = {}
    for unit, share in zip(job.condenser, shares, strict=True):
        points = [result.point, *([result.rest] if result.rest else [])]
        flows = [p.flow_through(p.network.condenser_part(unit.name)) for p in points]
        found[f"flow {unit.name}"] = flows[0] * share * unit.needed_flow / min(flows)
    return found


def bands(result: CheckResult) -> dict[str, tuple[float, float]]:
    """The pump's flow band in each room: relative width below and above."""
    network, flow = result.point.network, result.point.flow
    built = next(samples_of(network, 1500, 3))
    still = Samples({name: np.zeros(1500) for name in built.day}, built.built)
    study = solve_flows(network, cases(network, still)).line_flow[:, network.pump_line]
    card = Spread(result.point).flows.line_flow[:, network.pump_line]
    place = instruments(result.job, result.job.boat.speed)
    uncertain = parameter_prior(result.job)
    # The band does not include the day's conditions.
    draws = uncertain.draws(100)
    for name in ("sea", "supply"):
        draws[:, INDEX[name]] = 0.0
    calls = predict(place, states(place, [ModelChange()], draws))[:, place.column_of["flow"]]
    pairs = {
        "check": (result.point.flow_low, result.point.flow_high),
        "size": tuple(np.quantile(study, [0.025, 0.975])),
        "card": tuple(np.quantile(card, [0.025, 0.975])),
        "diagnosis": tuple(np.quantile(calls, [0.025, 0.975])),
    }
    return {room: (1 - low / flow, high / flow - 1) for room, (low, high) in pairs.items()}


def explained(result: CheckResult) -> None:
    """Explains a loop already checked, without its fixes, which take most of the time."""
    with patch("loop.teach.explain.check", return_value=result) as asked:
        explain(result.job)
    asked.assert_called_once_with(result.job)


@cache
def unchanged() -> dict[str, float]:
    return readings(check(kitchen_sink(), fixes=False))


def assert_rooms_agree(job: Job) -> CheckResult:
    result = check(job, fixes=False)
    ours, docked = readings(result), readings(check(job.at_speed(0.0), fixes=False))
    rooms = {
        "diagnosis": diagnosed(job),
        "card": carded(result),
        "figures": drawn_figures(result),
        "sizing": sized(result),
    }
    for room, theirs in rooms.items():
        for key, value in theirs.items():
            # Tables within 0.1 % of the exact functions; gauges within 2 mm of water.
            wanted = (docked if room == "figures" else ours)[key]
            assert value == pytest.approx(wanted, rel=3e-3, abs=20.0 * key.endswith("let")), (
                room,
                key,
            )
    widths = bands(result)
    for room in ("size", "card"):
        # Three times the scatter of a limit that 37 of 1,500 samples lie beyond.
        assert widths[room] == pytest.approx(widths["check"], rel=0.09), room
    # Diagnosis splits losses by sections, and lets hoses' bores and barbs into them.
    assert widths["diagnosis"] == pytest.approx(widths["check"], rel=0.35)
    return result


def test_all_rooms_give_one_answer() -> None:
    assert_rooms_agree(kitchen_sink())
    explain(kitchen_sink())


def test_at_least_thirty_constants_are_asked() -> None:
    assert len(CONSTANTS) + len(LIMITS) + sum(map(len, TOLERANCES)) >= 30


def with_changed(factor: float, *names: str) -> CheckResult:
    """The loop with these constants changed; all rooms agree about it.

    An explanation whose formula has another value refuses to print (`work_out`).
    """
    with ExitStack() as kept:
        for name in names:
            kept.enter_context(changed(name, factor))
        after = assert_rooms_agree(kitchen_sink())
        explained(after)
    return after


@pytest.mark.parametrize("name", CONSTANTS)
def test_a_constant_moves_every_room_alike(name: str) -> None:
    before = unchanged()
    assert readings(with_changed(1.07, name)) != before


def test_limits_move_no_reading_in_any_room() -> None:
    before = unchanged()
    assert readings(with_changed(1.07, *LIMITS)) == before


@pytest.mark.parametrize("names", TOLERANCES, ids=lambda names: names[0])
def test_a_tolerance_widens_every_rooms_band_alike(names: tuple[str, ...]) -> None:
    """By half, all tolerances of one kind: a room with its own copy would stay behind."""
    with_changed(1.5, *names)
