"""Service calls made up by the thousand: random loops, hidden faults, noisy instruments."""

from dataclasses import dataclass

import numpy as np

from loop.diagnose.bayes import Posterior, posterior
from loop.diagnose.groups import grouped
from loop.diagnose.hypotheses import Study, prepare
from loop.diagnose.next_reading import gains
from loop.diagnose.reading_kinds import TWO_SIGMA
from loop.diagnose.readings import Readings
from loop.diagnose.simulate import simulate
from loop.hydraulics import build, solve_flows
from loop.job import Job
from loop.pumps import PumpCurve

BUCKET = ("stream", "flow", "sea_temperature", "outlet_temperature", "condensing_temperature")
GAUGES = (*BUCKET, "strainer_seen", "pump_outlet_pressure", "shutoff_pressure",
          "pump_inlet_pressure", "strainer_drop")  # fmt: skip
ELECTRICAL = (*GAUGES, "supply", "frequency", "pump_power", "pump_current")
KITS = {"bucket and thermometer": BUCKET, "and gauges": GAUGES, "and electrical": ELECTRICAL}

# The order of a careful person's routine: eyes, thermometers, bucket, lid, meter, gauges.
ROUTINE = ("stream", "sea_temperature", "outlet_temperature", "condensing_temperature", "flow",
           "strainer_seen", "supply", "frequency", "pump_current", "pump_power",
           "pump_outlet_pressure", "shutoff_pressure", "pump_inlet_pressure",
           "strainer_drop")  # fmt: skip

BORES = tuple(inches * 0.0254 for inches in (0.5, 0.625, 0.75, 1.0, 1.25))


def random_job(rng: np.random.Generator) -> Job:
    """A loop of one condenser, of a size that its invented pump can serve."""
    head, most = rng.uniform(2.5, 6.0), rng.uniform(10, 40) / 60_000
    share = np.linspace(0, 1, 6)
    drive = str(rng.choice(["ac", "dc"]))
    curve = PumpCurve.model_validate(
        {
            "name": "demo-random",
            "drive": drive,
            "rated_supply": 115.0 if drive == "ac" else 12.0,
            "port": 0.019,
            "curve": {
                "flow": {"unit": "m^3/s", "values": list(most * share)},
                "head": {"unit": "m", "values": list(head * (1 - 0.9 * share**2))},
                "power": {"unit": "W", "values": list(rng.uniform(25, 60) * (0.65 + 0.35 * share))},
            },
        }
        | ({"rated_frequency": 60.0} if drive == "ac" else {})
    )
    flow = 0.6 * most
    speed = rng.uniform(0.7, 1.5)
    bore = min(BORES, key=lambda b: abs(b - np.sqrt(flow / speed / (np.pi / 4))))
    column = head * 9.80665 * 1025.0

    def rated(low: float, high: float) -> str:
        drop = rng.uniform(low, high) * column / 1000
        return f"{drop} kPa at {flow * 60_000} L/min"

    out = rng.uniform(0.05, 0.3)
    data = {
        "water": {"temperature": rng.uniform(18, 31)},
        "defaults": {"bore": bore},
        "condenser": [{"name": "saloon", "cooling": 3500.0}],
        "part": [
            {"kind": "intake", "height": -0.5},
            {"kind": "seacock"},
            {"kind": "hose", "length": rng.uniform(0.4, 1.5), "to": -0.4},
            {"kind": "strainer", "loss": rated(0.03, 0.08)},
            {"kind": "hose", "length": rng.uniform(0.3, 1.0), "to": -0.3},
            {"kind": "pump", "curve": curve},
            {"kind": "hose", "length": rng.uniform(1.5, 5.0), "to": 0.3},
            {"kind": "condenser", "serves": "saloon", "loss": rated(0.15, 0.4)},
            {"kind": "hose", "length": rng.uniform(1.0, 3.0), "to": out},
            {"kind": "discharge", "height": out},
        ],
    }
    flows = solve_flows(build(Job.model_validate(data)))
    need = float(flows.line_flow[0, 0]) / rng.uniform(0.95, 1.4)
    data["condenser"] = [{"name": "saloon", "cooling": need / 1.892706e-4 * 3516.85}]
    return Job.model_validate(data)


@dataclass(frozen=True)
class Call:
    """A loop's study, the hidden truth (index of its instance) and all that can be read."""

    study: Study
    truth: int
    readings: Readings


def calls(count: int, seed: int, each: int = 5, strange: float = 1.0) -> list[Call]:
    """Calls on random loops, `each` a loop; truths by the priors, severities by their ranges.

    `strange` as in `loop.diagnose.simulate`.
    """
    rng = np.random.default_rng(seed)
    found: list[Call] = []
    while len(found) < count:
        job = random_job(rng)
        study = prepare(job)
        for _ in range(min(each, count - len(found))):
            found.append(_call(job, study, rng, strange))
    return found


def _call(job: Job, study: Study, rng: np.random.Generator, strange: float) -> Call:
    row = int(rng.choice(len(study.weight), p=study.weight))
    truth = int(study.owner[row])
    one = study.instances[truth]
    # Anywhere within the cell of the grid, not only at its middle.
    severity = [
        float(study.severity[row, i] + (rng.random() - 0.5) * _cell(study, truth, i))
        for i in range(len(one.faults))
    ]
    read = simulate(job, one.name, tuple(severity), rng, one.where, strange)
    return Call(study, truth, read)


def _cell(study: Study, instance: int, axis: int) -> float:
    grid = np.unique(study.instances[instance].severities[:, axis])
    return float(grid[1] - grid[0]) if len(grid) > 1 else 0.0


@dataclass(frozen=True)
class Score:
    """One call judged: was the right group first, among three; the fault; what it said; sizes."""

    group_first: bool
    group_third: bool
    group_said: float
    fault_first: bool
    fault_third: bool
    fault_said: float
    group_size: int


def judge(call: Call, kit: tuple[str, ...]) -> Score:
    """How the program did with one kit."""
    answer = posterior(call.study, call.readings.only(kit))
    groups = grouped(answer)
    where = next((i for i, group in enumerate(groups) if call.truth in group), 99)
    order = np.argsort(-answer.probability)
    rank = int(np.flatnonzero(order == call.truth)[0])
    return Score(
        group_first=where == 0,
        group_third=where < 3,
        group_said=float(answer.probability[list(groups[0])].sum()),
        fault_first=rank == 0,
        fault_third=rank < 3,
        fault_said=float(answer.probability[order[0]]),
        group_size=len(groups[0]),
    )


def nearest_rule(call: Call, kit: tuple[str, ...]) -> int:
    """Rank of the truth by the plain rule: the fault whose prediction lies nearest wins.

    Distance in the instruments' standard deviations, at each fault's best severity; a word that is
    not the likeliest one counts two. No priors, no doubts.
    """
    study, readings = call.study, call.readings.only(kit)
    distance = np.zeros(len(study.mean))
    for key, one in readings.numbers.items():
        sigma = one.half_width / TWO_SIGMA
        distance += ((study.mean[:, study.bench.at[key]] - one.value) / sigma) ** 2
    for key, word in readings.words.items():
        choices = next(c.kind.choices for c in study.bench.words if c.key == key)
        distance += 4.0 * (np.argmax(study.words[key], axis=1) != choices.index(word))
    best = [distance[study.owner == i].min() for i in range(len(study.instances))]
    return int(np.flatnonzero(np.argsort(best) == call.truth)[0])


def calibration_error(said: np.ndarray, right: np.ndarray, bins: int = 10) -> float:
    """Expected calibration error: gap of said and right by tenths, weighed by their calls."""
    place = np.minimum((said * bins).astype(int), bins - 1)
    return float(
        sum(
            abs(said[place == b].mean() - right[place == b].mean()) * (place == b).mean()
            for b in range(bins)
            if (place == b).any()
        )
    )


def readings_needed(call: Call, kit: tuple[str, ...], chosen: bool) -> tuple[int, float, bool]:
    """Readings and minutes until the answer is that of the whole kit, and whether that is right.

    Until the leading group lies within the whole kit's leading group at 80 % or more; the next
    reading is chosen by information a minute, or taken in the order of the routine.
    """
    all_readings = call.readings.only(kit)
    final = set(grouped(posterior(call.study, all_readings))[0])
    taken: list[str] = []
    minutes = 0.0
    kinds = {c.key: c.kind for c in (*call.study.bench.columns, *call.study.bench.words)}
    for _ in range(len(all_readings.keys) + 1):
        answer = posterior(call.study, all_readings.only(taken))
        if _settled(answer, final):
            break
        left = [key for key in ROUTINE if key in all_readings.keys and key not in taken]
        if not left:
            break
        key = left[0]
        if chosen:
            ranked = gains(answer, all_readings.only(taken))
            key = next(g.column.key for g in ranked if g.column.key in left)
        taken.append(key)
        minutes += kinds[key].minutes
    return len(taken), minutes, call.truth in final


def _settled(answer: Posterior, final: set[int]) -> bool:
    leading = grouped(answer)[0]
    return set(leading) <= final and float(answer.probability[list(leading)].sum()) >= 0.8
