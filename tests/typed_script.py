"""An engineer's script against an installed copy: it runs, and passes ``mypy --strict``.

``.ci/run`` does both outside the checkout.
"""

import sys
from concurrent.futures import ProcessPoolExecutor

import loop
from loop.check import Finding


def needs(result: loop.CheckResult) -> list[float]:
    """Need of each unit [m³/s]."""
    return [unit.needed_flow for unit in result.condensers]


def main(path: str) -> None:
    """Checks a job, a change of it, and a grid of changes."""
    job: loop.Job = loop.read_job(path)
    longer: loop.Job = job.replace({"part[8].length": "12 ft"})
    with ProcessPoolExecutor(2) as processes:
        results: list[loop.CheckResult] = list(processes.map(loop.check, [job, longer]))
    findings: tuple[Finding, ...] = results[1].findings
    point: loop.OperatingPoint = loop.solve(job)
    vary = {"part[8].length": ["8 ft", "12 ft"], "pump": ["demo-ac-250"]}
    grid: loop.Sweep = loop.sweep(job, vary)
    ends = {("part[10].to", "part[11].height"): [0.05, 0.1]}
    lower: loop.Sweep = loop.sweep(job, ends)
    both: loop.Sweep = loop.sweep(
        job, {"pump": ["demo-ac-250"], ("part[10].to", "part[11].height"): [0.1]}
    )
    flows: list[float] = grid.flow[:, 0, 0].tolist()
    version: str = loop.__version__
    print(version, needs(results[0]), len(findings), point.flow, flows, lower.shape, both.shape)


if __name__ == "__main__":
    main(sys.argv[1])
