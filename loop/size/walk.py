"""From any bores to the smallest that work: up where a unit is short, down where none is."""

import math
from collections.abc import Iterator, Sequence

from loop.job import Job
from loop.margins.speed import PRESSURE_MAX, SUCTION_MAX
from loop.parts.friction import velocity
from loop.size.fast import Fast, Flows
from loop.size.options import Choice, allowed, lines_to

Bores = tuple[float, ...]
Lists = Sequence[Sequence[float]]

# Flow over target from which a unit can give some up for another.
_PLENTY = 1.2


class Walk:
    """Walks over the bores of one job's options, on flows alone.

    An option works if each unit has the target flow over need and no hose runs too fast.
    """

    def __init__(self, job: Job, flows: Flows) -> None:
        self.flows, self._ways = flows, lines_to(job)
        self._needs = [unit.needed_flow for unit in job.condenser]

    def start(self, lists: Lists) -> Bores:
        """For each line the smallest bore in which its units' needs do not run too fast."""
        bores = []
        for line, some in enumerate(lists):
            need = sum(n for n, way in zip(self._needs, self._ways, strict=True) if line in way)
            most = SUCTION_MAX if line == 0 else PRESSURE_MAX
            bores.append(next((b for b in some if velocity(need, b) <= most), some[-1]))
        return fitted(bores, lists)

    def smallest(self, kit: Choice, lists: Lists, start: Bores, target: float) -> Bores:
        """Bores that work, none of which can be a size smaller; or the nearest to working."""
        return self._down(kit, lists, *self._up(kit, lists, start, target))

    def _up(self, kit: Choice, lists: Lists, bores: Bores, target: float) -> tuple[Bores, float]:
        """Bores that work, one move at a time; and the target they reach, at most `target`."""
        reached = self._serves(kit, bores, target)
        while reached < 1:
            tried = list(self._moves(kit.with_bores(bores), lists, target))
            best = max(tried, key=lambda one: self._serves(kit, one, target), default=None)
            if best is None or self._serves(kit, best, target) <= reached * (1 + 1e-6):
                break
            bores, reached = best, self._serves(kit, best, target)
        return bores, min(target, target * reached * (1 - 1e-9))

    def _down(self, kit: Choice, lists: Lists, bores: Bores, target: float) -> Bores:
        """Bores that work, each line reduced a size in turn, largest first, until none can be.

        A reduction in one line may prevent another: lines are retried until none changes.
        """
        while True:
            before = bores
            for line in sorted(range(len(bores)), key=lambda at: (-before[at], -at)):
                smaller = moved(bores, lists, (line,), -1)
                if smaller is not None and self._serves(kit, smaller, target) >= 1:
                    bores = smaller
            if bores == before:
                return bores

    def _serves(self, kit: Choice, bores: Bores, target: float) -> float:
        """Margin by which an option works: at least 1 if it does."""
        found = self.flows(kit.with_bores(bores))
        fastest = max(found.speeds, default=0.0)
        return min(found.share / target, 1 / fastest if fastest > 0 else math.inf)

    def _moves(self, choice: Choice, lists: Lists, target: float) -> Iterator[Bores]:
        """Moves: a size up on the path of the shortest unit or where hose runs fast, or everywhere.

        And a size down in branches whose units all have plenty.
        """
        found: Fast = self.flows(choice)
        worst = found.shares.index(found.share)
        up = set(self._ways[worst]) | {line for line, v in enumerate(found.speeds) if v > 1}
        for line in sorted(up):
            yield from _some(moved(choice.bores, lists, (line,), 1))
        yield from _some(moved(choice.bores, lists, tuple(range(len(choice.bores))), 1))
        for line in range(2, len(choice.bores)):
            fed = [
                share for share, way in zip(found.shares, self._ways, strict=True) if line in way
            ]
            if fed and min(fed) > _PLENTY * target:
                yield from _some(moved(choice.bores, lists, (line,), -1))


def moved(bores: Bores, lists: Lists, lines: Sequence[int], step: int) -> Bores | None:
    """The bores with some lines moved `step` sizes; None if not possible."""
    changed = list(bores)
    for line in lines:
        at = lists[line].index(bores[line]) + step
        if 0 <= at < len(lists[line]):
            changed[line] = lists[line][at]
    new = tuple(changed)
    return new if new != bores and allowed(new) else None


def fitted(bores: Sequence[float], lists: Lists) -> Bores:
    """Nearest allowed bores from the lists: suction and main line no smaller if possible."""
    near = [min(some, key=lambda b: abs(b - bore)) for bore, some in zip(bores, lists, strict=True)]
    main = max(near[1:])
    near[1] = next((bore for bore in lists[1] if bore >= main), lists[1][-1])
    near[0] = next((bore for bore in lists[0] if bore >= max(near[1], near[0])), lists[0][-1])
    if near[0] < near[1]:
        near[1] = max(bore for bore in lists[1] if bore <= near[0])
    for line in range(2, len(near)):
        if near[line] > near[1]:
            near[line] = max(bore for bore in lists[line] if bore <= near[1])
    return tuple(near)


def _some(bores: Bores | None) -> Iterator[Bores]:
    if bores is not None:
        yield bores
