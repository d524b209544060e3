"""A loop without a job file: represented by many invented, plausible ones of its kind.

All numbers are engineering estimates: lengths, heights, bores and pumps as found on boats with one
air-conditioning unit, none of them of a real boat. What is known constrains the samples.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from loop.curve import Array
from loop.diagnose.hypotheses import Study, assemble
from loop.diagnose.instances import Instance, all_changes, instances
from loop.diagnose.instruments import Instruments, instruments
from loop.diagnose.model_change import ModelChange
from loop.diagnose.predict import POWER_FACTOR, predict
from loop.diagnose.solved_loops import states
from loop.diagnose.uncertainty import INDEX, NAMES, ParameterDistribution, parameter_prior
from loop.hydraulics import build, solve_flows
from loop.job import Job, JobError
from loop.job.model import FLOW_PER_TON, TON
from loop.pumps import PumpCurve, UnknownPumpError, load_pump
from loop.pumps.supply import power_supply
from loop.pumps.writing import plate_tables, plate_values, supply_stated
from loop.records import dataclass
from loop.units import System
from loop.words.diagnosis import SAY
from loop.wrong import wrong

_LOOPS, _FEW = 44, 10
_TRIES = 40  # per loop
_SEED = 11
# Trade bores [in]; the smallest that is at least the sampled one is used.
_BORES = (0.5, 0.625, 0.75, 1.0, 1.25, 1.5)
_SPEED = (0.7, 1.7)  # m/s at the needed flow, before the bore is rounded up to a trade size
# Range of healthy over needed flow for a loop that ever worked.
_SERVES = (0.8, 2.4)
_INCH, _FOOT = 0.0254, 0.3048
_BULK = 1025.0 * 9.80665


@dataclass(frozen=True)
class LoopKind:
    """What is known of a boat without a job file, in SI; None where unknown.

    cooling [W]; bore [m]; length, of all hose [m]; pump, its catalogue name or nameplate;
    pump_height and discharge_height above the waterline [m]; sea [°C]; bleed, whether it has one;
    drive, ac or dc, at 115 V 60 Hz or 12 V unless the supply is stated, such as "230 V 50 Hz".
    """

    cooling: float
    bore: float | None = None
    length: float | None = None
    pump: str | None = None
    pump_height: float | None = None
    discharge_height: float | None = None
    sea: float | None = None
    bleed: bool = False
    drive: str = "ac"
    supply: str | None = None
    units: System = "us"

    @property
    def runs_on(self) -> str:
        """The pump's supply; raises UnitError for a text that states none."""
        return supply_stated(self.supply or ("12 V" if self.drive == "dc" else "115 V"))


def prepare_unit(kind: LoopKind, prior: Mapping[str, float] | None = None) -> Study:
    """The study of a loop of that kind.

    Raises JobError for a pump that is not in the catalogue, or where the known values fit no loop
    that could ever have cooled this unit.
    """
    jobs = _plausible_loops(kind)
    places = [instruments(job) for job in jobs]
    middle = places[_median_loop(places)]
    found = instances(middle.network, 1, prior or {})
    spread = _of_a_known_loop(jobs[0])
    draws = spread.draws(max(len(jobs), len(NAMES)))[: len(jobs)]
    single = [one for one in found if len(one.faults) == 1]
    pairs = [one for one in found if len(one.faults) > 1]

    def samples(under_way: bool) -> tuple[Array, Array, list[ModelChange]]:
        def read(number: int, some: Sequence[Instance]) -> Array:
            place = places[number]
            changes = all_changes(some, place.network, under_way)
            return predict(place, states(place, changes, draws[[number]]))

        many = np.stack([read(number, single) for number in range(len(places))], axis=1)
        last = range(max(len(places) - _FEW, 0), len(places)) if pairs else ()
        both = [read(number, pairs) for number in last]
        few = np.stack(both, axis=1) if both else many[:0, -_FEW:]
        return many, few, all_changes(found, middle.network, under_way)

    return assemble(middle, found, samples, scale=_scales(middle), known=False)


def _of_a_known_loop(job: Job) -> ParameterDistribution:
    """Prior of the parameters that are uncertain even with a job file."""
    whole = parameter_prior(job)
    keep = np.diag(whole.covariance).copy()
    keep[INDEX["heat"]] = 0.12**2  # load of the day on an unmeasured boat
    return ParameterDistribution(whole.mean, np.diag(keep))


def _median_loop(places: list[Instruments]) -> int:
    """Index of the loop with the median flow, displayed where one loop stands for all."""
    flows = [float(place.flows[0]) for place in places]
    return int(np.argsort(flows)[len(flows) // 2])


def _scales(place: Instruments) -> Array:
    """Scales of log readings: flow, power and current vary by factors from loop to loop."""
    flow = place.job.condenser[0].needed_flow
    watts = 40.0
    scale = np.zeros(len(place.columns))
    for number, column in enumerate(place.columns):
        name = column.kind.name
        scale[number] = {
            "flow": flow,
            "pump_power": watts,
            "pump_current": watts / (POWER_FACTOR * place.supply),
        }.get(name, 0.0)
    return scale


def _plausible_loops(kind: LoopKind) -> list[Job]:
    """The first sampled loops whose flow is plausible for the unit."""
    rng = np.random.default_rng(_SEED)
    found: list[Job] = []
    for _ in range(_LOOPS * _TRIES):
        job = _random_loop(kind, rng)
        flow = float(solve_flows(build(job)).line_flow[0, 0])
        need = job.condenser[0].needed_flow
        if _SERVES[0] * need <= flow <= _SERVES[1] * need or (kind.pump and flow > 0.5 * need):
            found.append(job)
        if len(found) == _LOOPS:
            return found
    if len(found) > _FEW:
        return found
    raise JobError([SAY("no-loop-flows")])


def _random_loop(kind: LoopKind, rng: "np.random.Generator") -> Job:
    need = kind.cooling / TON * FLOW_PER_TON
    bore = kind.bore or _bore(need, rng)
    curve = _pump(kind, need, rng)
    out = kind.discharge_height
    out = float(rng.uniform(3, 14)) * _INCH if out is None else out
    pump_at = kind.pump_height
    pump_at = -float(rng.uniform(4, 20)) * _INCH if pump_at is None else pump_at
    lengths = np.array(
        [rng.uniform(1, 5), rng.uniform(1, 4), rng.uniform(4, 16), rng.uniform(3, 14)]
    )
    if kind.length is not None:
        lengths = lengths / lengths.sum() * kind.length / _FOOT
    reach = 0.9 * lengths * _FOOT
    top = max(min(float(rng.uniform(0, 36)) * _INCH, pump_at + reach[2], out + reach[3]), out)
    if out > pump_at + reach[2]:
        raise JobError([SAY("no-loop-reaches")])
    head = curve.shutoff * _BULK / 1000

    def rated(low: float, high: float) -> str:
        return f"{rng.uniform(low, high) * head:.3f} kPa at {need * 60000:.4f} L/min"

    def hose(feet: float, to: float) -> dict[str, object]:
        sweeps = ["90 deg"] * int(rng.integers(0, 3))
        return {"kind": "hose", "length": float(feet) * _FOOT, "to": to, "sweeps": sweeps}

    parts: list[dict[str, object]] = [
        {"kind": "intake", "height": pump_at - min(0.15, reach[0])},
        {"kind": "seacock"},
        hose(lengths[0], pump_at),
        {"kind": "strainer", "loss": rated(0.02, 0.10)},
        hose(lengths[1], pump_at),
        {"kind": "pump", "curve": curve.model},
        *_bleed(kind),
        hose(lengths[2], top),
        {"kind": "condenser", "serves": "unit", "loss": rated(0.10, 0.40)},
        hose(lengths[3], out),
        {"kind": "discharge", "height": out},
    ]
    return Job.model_validate(
        {
            "title": SAY("no-loop-title", tons=f"{kind.cooling / TON:.2g}"),
            "units": kind.units,
            "water": {"temperature": 30.0 if kind.sea is None else kind.sea},
            "defaults": {"bore": bore, "lining": "smooth rubber"},
            "condenser": [
                {"name": "unit", "cooling": kind.cooling, "approach": float(rng.uniform(3.5, 8))}
            ],
            "part": parts,
        }
    )


@dataclass(frozen=True)
class _Pump:
    model: PumpCurve
    shutoff: float


def _bleed(kind: LoopKind) -> list[dict[str, object]]:
    return [{"kind": "bleed"}] if kind.bleed else []


def _bore(need: float, rng: "np.random.Generator") -> float:
    speed = float(rng.uniform(*_SPEED))
    inches = float(np.sqrt(need / speed / (np.pi / 4))) / _INCH
    return next((b for b in _BORES if b >= inches), _BORES[-1]) * _INCH


def known_pump(text: str, supply: str) -> PumpCurve:
    """A pump of the catalogue, or one of a nameplate such as "350 gal/h, 12 ft" on that supply.

    Raises UnknownPumpError for any other text.
    """
    figures = plate_values(text)
    if figures is None and text[:1].isdigit():
        raise UnknownPumpError(wrong("answer-plate", answer=text))
    if figures is None:
        return load_pump(text)
    return PumpCurve.model_validate(plate_tables(figures, "nameplate", supply, "3/4 in"))


def _pump(kind: LoopKind, need: float, rng: "np.random.Generator") -> _Pump:
    """The known pump, or one invented for this flow."""
    if kind.pump is not None:
        curve = known_pump(kind.pump, kind.runs_on)
        return _Pump(curve, float(curve.head_curve.extended_with_slope(np.zeros(1))[0][0]))
    most = need * float(rng.uniform(1.6, 4.8))
    head = float(rng.uniform(2.2, 6.0)) * (need / 1.9e-4) ** 0.25
    share = np.linspace(0, 1, 7)
    # Head falls with a power of the flow: flat at first in most small centrifugal pumps.
    fall = 0.9 * share ** float(rng.uniform(1.6, 2.4))
    # A quarter of maximum flow × shut-off head at best efficiency, about 15 % wire to water.
    watts = _BULK * most * head * 0.25 / 0.15 * float(rng.uniform(0.7, 1.4))
    runs_on = power_supply(kind.runs_on)
    data = {
        "name": "demo-invented",
        "drive": runs_on.drive,
        "rated_supply": runs_on.volts,
        "port": 0.019,
        "curve": {
            "flow": {"unit": "m^3/s", "values": [float(v) for v in most * share]},
            "head": {"unit": "m", "values": [float(v) for v in head * (1 - fall)]},
            "power": {"unit": "W", "values": [float(v) for v in watts * (0.68 + 0.32 * share)]},
        },
    } | ({"rated_frequency": runs_on.hertz} if runs_on.hertz else {})
    return _Pump(PumpCurve.model_validate(data), head)
