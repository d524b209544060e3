"""Time of a sizing with a large catalogue and many branches.

Use: ``python -m tests.benchmarks.large_catalogue [--units 6] [--pumps 500]``: seven bores for
suction and trunk each, and for each branch; the pumps are invented.
"""

import argparse
import time

import numpy as np

from loop.job import Job, parse_job
from loop.pumps import PumpCurve
from loop.size import size
from tests.test_size_options import branched_loop


def boat(units: int) -> Job:
    """A loop with this many units of 6,000 BTU/h, each farther away than the one before."""
    data = branched_loop()
    (way, *_) = data["part"][8]["branch"]
    # Through-hull sized for this many units.
    data["part"][0]["bore"] = data["part"][1]["bore"] = "2 in"
    names = [f"unit {number + 1}" for number in range(units)]
    data["condenser"] = [{"name": name, "cooling": "6000 BTU/h"} for name in names]
    data["part"][8]["branch"] = [
        {"name": name, "part": [_of(part, name, f"{4 + 3 * at} ft") for part in way["part"]]}
        for at, name in enumerate(names)
    ]
    return parse_job(data)


def _of(part: dict[str, str], name: str, length: str) -> dict[str, str]:
    own = {"serves": name} if "serves" in part else {}
    return {**part, **own, **({"length": length} if "length" in part else {})}


def pumps(count: int, units: int) -> tuple[PumpCurve, ...]:
    """Pumps of many sizes, up to twice what this many units need."""
    rng = np.random.default_rng(5)
    return tuple(_pump(number, rng, 400.0 * units) for number in range(count))


def _pump(number: int, rng: np.random.Generator, most: float) -> PumpCurve:
    share = np.linspace(0, 1, 8)
    flow, top = rng.uniform(150, most) * share, rng.uniform(6, 60)
    head = top * (1 - 0.25 * share - 0.65 * share**2)
    power = 30 + 0.02 * flow + 1000 * 9.81 * flow * 1.05e-6 * head * 0.3048 / rng.uniform(0.12, 0.4)
    curve = {
        "flow": {"unit": "gal/h", "values": flow.tolist()},
        "head": {"unit": "ft", "values": head.tolist()},
        "power": {"unit": "W", "values": np.maximum.accumulate(power).tolist()},
    }
    plate = {"rated_supply": "115 V", "rated_frequency": "60 Hz", "port": "3/4 in", "drive": "ac"}
    table = {"name": f"demo-list-{number}", "curve": curve, **plate}
    return PumpCurve.model_validate(table, context={"text": True})


def main() -> None:
    """Runs one sizing and prints its time."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--units", type=int, default=6)
    asked.add_argument("--pumps", type=int, default=500)
    given = asked.parse_args()
    job = boat(given.units)
    listed = job.sizing.model_copy(update={"pumps": pumps(given.pumps, given.units)})
    wall, busy = time.perf_counter(), time.process_time()
    result = size(job.model_copy(update={"sizing": listed}))
    wall, busy = time.perf_counter() - wall, time.process_time() - busy
    print(f"{result}: {wall:.1f} s, {busy:.1f} s of processor time; {result.studied}")


if __name__ == "__main__":
    main()
