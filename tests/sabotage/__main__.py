"""The long run: ``python -m tests.sabotage --pairs 20000 --branched 1000 --sound 2000``.

Every way on one sound loop after another; then every way on loops of two and three units; then the
sound loops themselves. Prints, as they come, each pair that is wrongly good or lacks its expected
code, and each sound loop that is not good; exit status 1 if there is any of the first two, if a
sound loop has a danger or a fault, or if fewer than 95 in 100 are good.
"""

import argparse
import sys
from collections import Counter

from loop.check import check
from tests.sabotage.branched import BRANCH_WAYS
from tests.sabotage.judged import judged, judged_branched
from tests.sabotage.sound import sound
from tests.sabotage.ways import WAYS


def wrongly_judged(pairs: int) -> int:
    """How many of this many pairs, every way on one loop after another, break the law."""
    missed = 0
    for number in range(pairs):
        seed, place = divmod(number, len(WAYS))
        verdict, codes = judged(WAYS[place], seed)
        if verdict == "good" or not codes & WAYS[place].codes:
            missed += 1
            print(f"{WAYS[place]}, seed {seed}: {verdict}, {sorted(codes)}", flush=True)
        if number % 1000 == 999:
            print(f"{number + 1} pairs so far", flush=True)
    print(f"{pairs} pairs, {missed} wrongly judged", flush=True)
    return missed


def wrongly_good_branches(pairs: int) -> int:
    """How many of this many pairs of a way and a loop of several units are wrongly good."""
    ways, good = [*BRANCH_WAYS, *WAYS], 0
    for number in range(pairs):
        loop, place = divmod(number, len(ways))
        if judged_branched(ways[place], loop)[0] == "good":
            good += 1
            print(f"{ways[place]}, branched loop {loop}: good", flush=True)
    print(f"{pairs} pairs with branches, {good} wrongly good", flush=True)
    return good


def crying_wolf(count: int) -> tuple[int, int]:
    """How many of this many sound loops are good, and how many have a danger or a fault."""
    verdicts: Counter[str] = Counter()
    alarmed = 0
    for seed in range(count):
        result = check(sound(seed), fixes=False)
        verdicts[result.verdict] += 1
        grave = [f.code for f in result.findings if f.level in ("danger", "fault")]
        alarmed += bool(grave)
        if result.verdict != "good":
            codes = sorted(f.code for f in result.findings if f.level != "note")
            print(f"sound loop {seed}: {result.verdict}, {codes}", flush=True)
    print(f"{count} sound loops, {verdicts['good']} good, {alarmed} with a danger or a fault")
    return verdicts["good"], alarmed


def main() -> int:
    """Runs what is requested; returns 0 if every law holds."""
    parser = argparse.ArgumentParser(prog="python -m tests.sabotage")
    parser.add_argument("--pairs", type=int, default=20000)
    parser.add_argument("--branched", type=int, default=1000)
    parser.add_argument("--sound", type=int, default=2000)
    asked = parser.parse_args()
    missed = wrongly_judged(asked.pairs) + wrongly_good_branches(asked.branched)
    good, alarmed = crying_wolf(asked.sound)
    return int(bool(missed or alarmed or good < 0.95 * asked.sound))


if __name__ == "__main__":
    sys.exit(main())
