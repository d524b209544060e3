"""Results of every example job as JSON, and whether two such files hold the same numbers.

``python -m tests.sameness FILE`` writes what `check` gives for every example job, and what
`diagnose` gives for every readings file; run it under two sets of dependencies, then
``python -m tests.sameness --compare ONE OTHER`` ends with status 1 where a text differs, or a
number by more than 1e-8 of the largest that stands under its key, and in a call 1e-6.
"""

import json
import math
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from loop.check import check
from loop.check import to_json as check_json
from loop.diagnose import diagnose, read_readings
from loop.diagnose import to_json as diagnosis_json
from loop.job import JobError, read_job

EXAMPLES = Path(__file__).parent.parent / "examples"
TOLERANCE = 1e-8
# The heads of a call's many loops converge to 1e-6 m, and a belief weights large deviations: the
# last digits of its readings are amplified there.
TOLERANCE_OF_CALLS = 1e-6

Leaf = tuple[str, str, Any]


def results() -> dict[str, Any]:
    """What every example gives: jobs by name, calls by "job readings"."""
    tables = {p: tomllib.loads(p.read_text(encoding="utf-8")) for p in EXAMPLES.glob("*.toml")}
    jobs = {path.stem: read_job(path) for path, data in tables.items() if "part" in data}
    found: dict[str, Any] = {name: check_json(check(job)) for name, job in jobs.items()}
    for path in (path for path, data in tables.items() if "part" not in data):
        for name, job in jobs.items():
            try:
                readings = read_readings(path, job)
            except JobError:
                continue  # readings of units that this job has not
            found[f"{name} {path.stem}"] = diagnosis_json(diagnose(job, readings))
    for table in found.values():
        del table["loop"]  # how the program was installed is no result
    return dict(sorted(found.items()))


def leaves(data: Any, path: str = "", key: str = "") -> Iterator[Leaf]:
    """Every text and number: its path, the key it stands under, and itself."""
    if isinstance(data, dict):
        for name, value in data.items():
            yield from leaves(value, f"{path}/{name}", name)
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from leaves(value, f"{path}/{index}", key)
    else:
        yield path, key, data


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def differences(one: Any, other: Any) -> tuple[list[str], float]:
    """What differs, a line each, and the largest relative difference among the numbers."""
    first = {path: (key, value) for path, key, value in leaves(one)}
    second = {path: value for path, _, value in leaves(other)}
    told = [f"{path}: only in one" for path in sorted(first.keys() ^ second.keys())]
    scale: dict[str, float] = {}
    for key, value in first.values():
        if _is_number(value):
            scale[key] = max(scale.get(key, 0.0), abs(value))
    largest = 0.0
    for path in first.keys() & second.keys():
        key, a = first[path]
        b = second[path]
        if not (_is_number(a) and _is_number(b)):
            told += [f"{path}: {a!r} and {b!r}"] * (a != b)
            continue
        apart = abs(a - b) / scale[key] if scale[key] else math.inf if b else 0.0
        largest = max(largest, apart)
        if apart > (TOLERANCE_OF_CALLS if " " in path.split("/")[1] else TOLERANCE):
            told.append(f"{path}: {a!r} and {b!r}, apart by {apart:.1e} of the scale")
    return told, largest


def main(arguments: list[str]) -> int:
    """0 where the file was written, or where both files hold the same."""
    if len(arguments) == 1:
        text = json.dumps(results(), indent=1, allow_nan=False)
        Path(arguments[0]).write_text(text + "\n", encoding="utf-8")
        return 0
    if len(arguments) != 3 or arguments[0] != "--compare":
        print(__doc__)
        return 2
    one, other = (json.loads(Path(name).read_text(encoding="utf-8")) for name in arguments[1:])
    told, largest = differences(one, other)
    print("\n".join(told[:50]) if told else f"the same, to {largest:.1e} of each key's scale")
    return 1 if told else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
