"""Mutation test of the packages that calculate: change one spot, and see whether a test notices.

``python -m tests.mutate [--each N] [--seed S] [--workers W] [--package P]`` needs `cosmic-ray`,
whose operators make the changes (``pip install cosmic-ray``). A seeded sample of N spots per
package is taken from all that change a sum, a comparison, a condition, a number or a loop; changes
that any import would notice (to annotations, or to an operator that floats lack) are left out,
since they would flatter the rate. So is one that no answer can show: ``strict=True`` of `zip`, a
guard against lists that never differ in length. All others count, even those that change no
answer, such as a tolerance. Each runs in a copy of the checkout. Prints survivors and a table.
"""

import argparse
import contextlib
import importlib
import multiprocessing
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

ROOT = Path(__file__).parent.parent
PACKAGES = ("hydraulics", "air", "balancing", "margins", "parts")
_NEEDED = ("loop", "tests", "examples", "pumpcurves", "pyproject.toml")
_COMMON = (
    "test_laws.py",
    "test_limits.py",
    "test_frozen.py",
    "test_friction.py",
    "test_hose.py",
    "test_fittings.py",
    "test_parts.py",
    "test_heat.py",
    "test_suction.py",
    "test_speed.py",
    "test_gauge_pressure.py",
    "test_priming_head.py",
    "test_high_points.py",
    "test_bleeds.py",
    "test_valves.py",
    "published",
    "test_nodes.py",
    "test_joints.py",
    "test_coupled_newton.py",
    "test_steps.py",
    "test_step_length.py",
    "test_flow_paths.py",
    "test_cases.py",
    "test_lines.py",
    "test_resistances.py",
    "test_build.py",
    "test_network.py",
    "test_band.py",
    "test_balance.py",
    "test_point.py",
    "test_line_profile.py",
    "test_check.py",
    "test_air.py",
    "test_solver.py",
    "test_together.py",
    "test_dead_legs.py",
    "test_warmth.py",
    "test_branch_priming.py",
    "test_suction_rise.py",
    "test_dry_path.py",
    "test_fill.py",
    "test_warm_ways.py",
    "test_throttle_valves.py",
    "test_throttle.py",
    "test_flow_limiting.py",
    "test_even.py",
    "test_ways_round.py",
    "test_isolation.py",
    "test_rounded.py",
    "test_settings.py",
    "test_random_loops.py::test_the_shown_answer_balances_to_the_last_digit",
    "test_random_loops.py::"
    "test_cases_settle_that_no_run_of_steps_with_all_of_the_tees_losses_settles",
)  # fmt: skip
# Of those, the ones most likely to notice a change in a package.
_LIKELY = {
    "hydraulics": ("test_laws.py", "test_frozen.py", "test_nodes.py", "test_joints.py",
                   "test_coupled_newton.py", "test_step_length.py",
                   "test_steps.py", "test_flow_paths.py", "test_line_profile.py",
                   "test_gauge_pressure.py",
                   "test_cases.py", "test_lines.py", "test_resistances.py", "test_build.py",
                   "test_network.py", "test_band.py", "test_point.py", "test_solver.py",
                   "test_together.py"),
    "air": ("test_laws.py", "test_frozen.py", "test_high_points.py", "test_bleeds.py",
            "test_air.py", "test_branch_priming.py", "test_fill.py", "test_dry_path.py",
            "test_priming_head.py", "test_suction_rise.py"),
    "balancing": ("test_laws.py", "test_frozen.py", "test_valves.py", "test_balance.py",
                  "test_throttle_valves.py", "test_throttle.py", "test_flow_limiting.py",
                  "test_even.py", "test_ways_round.py", "test_isolation.py"),
    "margins": ("test_laws.py", "test_frozen.py", "test_heat.py", "test_suction.py",
                "test_speed.py", "test_warmth.py"),
    "parts": ("test_laws.py", "test_limits.py", "test_frozen.py", "test_friction.py",
              "test_hose.py", "test_fittings.py", "test_parts.py"),
}  # fmt: skip
# Processor time [s] after which a change counts as an endless loop: about six whole runs.
_SECONDS = 150
# Libraries that every run needs, loaded once and inherited by each.
_HEAVY = ("numpy", "scipy.interpolate", "scipy.optimize", "fluids", "fluids.filters", "gsw",
          "pint", "pydantic", "pytest", "hypothesis", "typer", "rich.table")  # fmt: skip
_ARITHMETIC = ("Add", "Sub", "Mul", "Div", "FloorDiv", "Mod", "Pow")
_PLAIN = (
    "AddNot", "ReplaceTrueWithFalse", "ReplaceFalseWithTrue", "ReplaceAndWithOr",
    "ReplaceOrWithAnd", "ReplaceBreakWithContinue", "ReplaceContinueWithBreak", "NumberReplacer",
    "ZeroIterationForLoop", "ReplaceUnaryOperator_Delete_USub", "ReplaceUnaryOperator_Delete_Not",
)  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One change: to a file, by an operator, at its nth occurrence; `line` is where it shows."""

    file: str
    operator: str
    occurrence: int
    line: str


Outcomes: TypeAlias = "multiprocessing.Queue[tuple[Mutant | None, str]]"


def operators() -> list[str]:
    """Names of the operators whose changes a test must notice."""
    names = [f"core/{name}" for name in _PLAIN]
    names += [
        f"core/ReplaceBinaryOperator_{one}_{other}"
        for one in _ARITHMETIC
        for other in _ARITHMETIC
        if one != other
    ]
    plugins = importlib.import_module("cosmic_ray.plugins")
    every = list(plugins.operator_names())
    names += [name for name in every if "ReplaceComparisonOperator" in name and "Is" not in name]
    return sorted(set(names) & set(every))


def mutated(source: str, operator: str, occurrence: int) -> str | None:
    """The source with one change; None if there is no such spot."""
    mutating = importlib.import_module("cosmic_ray.mutating")
    plugins = importlib.import_module("cosmic_ray.plugins")
    changed: str | None = mutating.mutate_code(source, plugins.get_operator(operator)(), occurrence)
    return changed


def mutants(package: str) -> list[tuple[str, str, int]]:
    """Every change of a package's files: file, operator, occurrence."""
    trees = importlib.import_module("cosmic_ray.ast")
    plugins = importlib.import_module("cosmic_ray.plugins")
    found = []
    for path in sorted((ROOT / "loop" / package).glob("*.py")):
        nodes = list(trees.ast_nodes(trees.get_ast(path.read_text(encoding="utf-8"))))
        for name in operators():
            operator = plugins.get_operator(name)()
            count = sum(len(list(operator.mutation_positions(node))) for node in nodes)
            found += [(str(path.relative_to(ROOT)), name, number) for number in range(count)]
    return found


def shown(file: str, operator: str, occurrence: int) -> Mutant:
    """A change with the line where it shows."""
    source = (ROOT / file).read_text(encoding="utf-8")
    changed = mutated(source, operator, occurrence)
    return Mutant(file, operator, occurrence, _changed_line(source, changed or source))


def _changed_line(source: str, changed: str) -> str:
    pairs = zip(source.splitlines(), changed.splitlines(), strict=False)
    for number, (one, other) in enumerate(pairs, start=1):
        if one != other:
            return f"{number}: {one.strip()}  ->  {other.strip()}"
    return "?"


def sampled(package: str, count: int, rng: random.Random) -> list[Mutant]:
    """This many changes of a package, without those of `zip`'s guard."""
    every = mutants(package)
    found: list[Mutant] = []
    for one in rng.sample(every, len(every)):
        if len(found) == count:
            break
        mutant = shown(*one)
        before, _, after = mutant.line.partition("  ->  ")
        if before.split(": ", 1)[-1] != after.replace("strict=False", "strict=True"):
            found.append(mutant)
    return found


def tests_for(copy: Path, mutant: Mutant | None) -> list[list[str]]:
    """What pytest runs, in order: what most likely notices the change, then the rest.

    First the file's own doctests, the tests of its name, and those of its package.
    """
    every = [f"tests/{name}" for name in _COMMON if (copy / "tests" / name.split("::")[0]).exists()]
    if mutant is None:
        return [every]
    path = Path(mutant.file)
    likely = [f"tests/test_{path.stem}.py", *(f"tests/{name}" for name in _LIKELY[path.parts[1]])]
    first = [name for name in dict.fromkeys(likely) if name in every]
    return [[mutant.file, *first], [name for name in every if name not in first]]


def run(copy: Path, mutant: Mutant | None) -> str:
    """Outcome of the tests in a separate process: "killed", "survived" or "timeout"."""
    child = os.fork()
    if child == 0:
        status = 1
        resource.setrlimit(resource.RLIMIT_CPU, (_SECONDS, _SECONDS + 5))
        with contextlib.suppress(BaseException):
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, 1)
            os.dup2(nowhere, 2)
            os.chdir(copy)
            # The copy's packages, not those that this process was started from.
            for name in [n for n in sys.modules if n.split(".")[0] in ("loop", "tests")]:
                del sys.modules[name]
            sys.path.insert(0, str(copy))
            import pytest

            for names in tests_for(copy, mutant):
                status = int(pytest.main([*names, "-x", "-q", "--tb=no"]))
                if status:
                    break
        os._exit(min(status, 120))
    _, status = os.waitpid(child, 0)
    code = os.waitstatus_to_exitcode(status)
    if code == -signal.SIGXCPU:
        return "timeout"
    return "survived" if code == 0 else "killed"


def _work(
    share: list[Mutant], outcomes: "multiprocessing.Queue[tuple[Mutant | None, str]]"
) -> None:
    sys.dont_write_bytecode = True
    for name in _HEAVY:
        importlib.import_module(name)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        for name in _NEEDED:
            if (ROOT / name).is_dir():
                ignore = shutil.ignore_patterns("__pycache__")
                shutil.copytree(ROOT / name, copy / name, ignore=ignore)
            else:
                shutil.copy(ROOT / name, copy / name)
        outcomes.put((None, run(copy, None)))
        for mutant in share:
            target = copy / mutant.file
            source = target.read_text(encoding="utf-8")
            changed = mutated(source, mutant.operator, mutant.occurrence)
            assert changed is not None
            target.write_text(changed, encoding="utf-8")
            outcomes.put((mutant, run(copy, mutant)))
            target.write_text(source, encoding="utf-8")


def main() -> int:
    """Returns 0 if the tests pass unchanged and at least 85 % of the changes are noticed."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--each", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--package", action="append", choices=PACKAGES)
    given = parser.parse_args()
    sample: list[Mutant] = []
    for package in given.package or PACKAGES:
        sample += sampled(package, given.each, random.Random(f"{given.seed} {package}"))
        print(f"{package}: {len(mutants(package))} changes", flush=True)
    random.Random(given.seed).shuffle(sample)
    outcomes: Outcomes = multiprocessing.Queue()
    workers = [
        multiprocessing.Process(target=_work, args=(sample[i :: given.workers], outcomes))
        for i in range(given.workers)
    ]
    for worker in workers:
        worker.start()
    counts: Counter[tuple[str, bool]] = Counter()
    for _ in range(len(sample) + given.workers):
        mutant, outcome = outcomes.get()
        if mutant is None:
            if outcome != "survived":
                print("the tests fail as they stand")
                for worker in workers:
                    worker.terminate()
                return 2
            continue
        counts[mutant.file.split("/")[1], outcome != "survived"] += 1
        print(f"{sum(counts.values())} of {len(sample)}", end="\r", file=sys.stderr, flush=True)
        if outcome != "killed":
            print(f"{outcome}: {mutant.file}:{mutant.line}  [{mutant.operator}]", flush=True)
    print("\n| package | changes tried | noticed |\n| --- | --- | --- |")
    for package in given.package or PACKAGES:
        killed, whole = counts[package, True], counts[package, True] + counts[package, False]
        print(f"| {package} | {whole} | {killed / max(whole, 1):.0%} |")
    noticed = sum(n for (_, killed), n in counts.items() if killed)
    print(f"| all | {len(sample)} | {noticed / max(len(sample), 1):.1%} |")
    return 0 if noticed >= 0.85 * len(sample) else 1


if __name__ == "__main__":
    sys.exit(main())
