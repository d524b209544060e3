"""What `check` says about a sound loop that was spoiled."""

import random
from collections.abc import Iterator, Sequence

from loop.check import check
from loop.job import JobError, parse_job
from tests.sabotage.branched import branched_tables
from tests.sabotage.sound import sound_tables
from tests.sabotage.way import Table
from tests.sabotage.ways import Sabotage

REFUSED = "refused"
Judged = tuple[str, set[str]]


def judged(sabotage: Sabotage, seed: int) -> Judged:
    """Verdict and codes of a sound loop that was spoiled; "refused" if it is not a valid job."""
    return _judged(_spoiled(sabotage, seed))


def judged_under_way(sabotage: Sabotage, seed: int, knots: float) -> Judged | None:
    """The same with a forward scoop at a speed; None if the way sets its own."""
    table = _spoiled(sabotage, seed)
    intake = table["part"][0]
    own = table["boat"].get("speed") != sound_tables(seed)["boat"].get("speed")
    if own or intake["kind"] != "intake" or intake.get("facing") == "aft":
        return None
    intake["facing"], table["boat"]["speed"] = "forward", f"{knots} knot"
    return _judged(table)


def judged_together(ways: Sequence[Sabotage], seed: int) -> Judged | None:
    """The same with two ways at once; None if both change one thing, or one cannot apply."""
    one, other = (_changed(_spoiled(way, seed), sound_tables(seed)) for way in ways)
    if one & other:
        return None
    table = sound_tables(seed)
    try:
        for way in ways:
            way.change(table, random.Random(seed))
    except (KeyError, IndexError, StopIteration):
        return None  # the first took out what the second changes
    return _judged(table)


def _spoiled(sabotage: Sabotage, seed: int) -> Table:
    table = sound_tables(seed)
    sabotage.change(table, random.Random(seed))
    return table


def judged_branched(sabotage: Sabotage, number: int) -> Judged:
    """Verdict and codes of a sound branched loop that was spoiled."""
    table = branched_tables(number)
    try:
        sabotage.change(table, random.Random(number))
    except (KeyError, StopIteration):
        return REFUSED, {REFUSED}  # a way that has no place among branches
    return _judged(table)


def _judged(table: Table) -> Judged:
    try:
        result = check(parse_job(table), fixes=False)
    except JobError:
        return REFUSED, {REFUSED}
    return result.verdict, {finding.code for finding in result.findings}


def _changed(table: Table, before: Table) -> set[tuple[str, str]]:
    """Names of what differs between two tables: for a part, its kind and label, and the key."""
    return {(where, key) for where, key, _ in {*_values(table)} ^ {*_values(before)}}


def _values(table: Table) -> Iterator[tuple[str, str, str]]:
    for name in ("water", "boat", "defaults"):
        yield from ((name, key, str(value)) for key, value in table[name].items())
    for part in (*table["condenser"], *table["part"]):
        name = f"{part.get('kind', 'unit')} {part.get('label', '')}"
        yield from ((name, key, str(value)) for key, value in part.items())
