"""From any bores to the smallest that work: up where a unit is short, down where none is."""

import math
from collections.abc import Iterator, Sequence
from itertools import islice

from loop.job import Job
from loop.margins.speed import PRESSURE_MAX, SUCTION_MAX
from loop.parts.friction import velocity
from loop.size.option_flows import FlowSolver, OptionFlows
from loop.size.options import Choice, bores_allowed, lines_to_units

Bores = tuple[float, ...]
BoreLists = Sequence[Sequence[float]]

# Lines of which a size less is solved at once.
_AHEAD = 4
# Flow over target from which a unit can give some up for another.
_SPARE = 1.2


class BoreSearch:
    """Walks over the bores of one job's options, on flows alone.

    An option works if each unit has the target flow over need and no hose runs too fast.
    """

    def __init__(self, job: Job, flows: FlowSolver) -> None:
        self.flows, self._lines_to_units = flows, lines_to_units(job)
        self._needs = [unit.needed_flow for unit in job.condenser]

    def start_bores(self, lists: BoreLists) -> Bores:
        """For each line the smallest bore in which its units' needs do not run too fast."""
        bores = []
        for line, sizes in enumerate(lists):
            need = sum(
                n
                for n, lines in zip(self._needs, self._lines_to_units, strict=True)
                if line in lines
            )
            limit = SUCTION_MAX if line == 0 else PRESSURE_MAX
            bores.append(next((b for b in sizes if velocity(need, b) <= limit), sizes[-1]))
        return nearest_allowed(bores, lists)

    def smallest_bores(self, kit: Choice, lists: BoreLists, start: Bores, target: float) -> Bores:
        """Bores that work, none of which can be a size smaller; or the nearest to working."""
        return self.reduced(kit, lists, *self.enlarged(kit, lists, start, target))

    def enlarged(
        self, kit: Choice, lists: BoreLists, bores: Bores, target: float
    ) -> tuple[Bores, float]:
        """Bores that work, one move at a time; and the target they reach, at most `target`."""
        margin = self._margin(kit, bores, target)
        while margin < 1:
            moves = list(self._moves(kit.with_bores(bores), lists, target))
            self.flows.ahead(map(kit.with_bores, moves))
            best = max(moves, key=lambda one: self._margin(kit, one, target), default=None)
            if best is None or self._margin(kit, best, target) <= margin * (1 + 1e-6):
                break
            bores, margin = best, self._margin(kit, best, target)
        return bores, min(target, target * margin * (1 - 1e-9))

    def reduced(self, kit: Choice, lists: BoreLists, bores: Bores, target: float) -> Bores:
        """Bores that work, each line reduced a size in turn, largest first, until none can be.

        A reduction in one line may prevent another: lines are retried until none changes.
        """
        while True:
            before = bores
            lines = sorted(range(len(bores)), key=lambda number: (-before[number], -number))
            for place, line in enumerate(lines):
                smaller = shifted(bores, lists, (line,), -1)
                if smaller is None:
                    continue
                if kit.with_bores(smaller) not in self.flows:  # most that follow will not do
                    following = (shifted(bores, lists, (one,), -1) for one in lines[place:])
                    self.flows.ahead(map(kit.with_bores, filter(None, islice(following, _AHEAD))))
                if self._margin(kit, smaller, target) >= 1:
                    bores = smaller
            if bores == before:
                return bores

    def _margin(self, kit: Choice, bores: Bores, target: float) -> float:
        """Margin by which an option works: at least 1 if it does."""
        found = self.flows(kit.with_bores(bores))
        fastest = max(found.speed_ratios, default=0.0)
        return min(found.least_ratio / target, 1 / fastest if fastest > 0 else math.inf)

    def _moves(self, choice: Choice, lists: BoreLists, target: float) -> Iterator[Bores]:
        """Moves: a size up on the path of the shortest unit or where hose runs fast, or everywhere.

        And a size down in branches whose units all have plenty.
        """
        found: OptionFlows = self.flows(choice)
        shortest = found.flow_ratios.index(found.least_ratio)
        enlarged = set(self._lines_to_units[shortest]) | {
            line for line, v in enumerate(found.speed_ratios) if v > 1
        }
        for line in sorted(enlarged):
            yield from _if_possible(shifted(choice.bores, lists, (line,), 1))
        yield from _if_possible(shifted(choice.bores, lists, tuple(range(len(choice.bores))), 1))
        for line in range(2, len(choice.bores)):
            fed = [
                share
                for share, lines in zip(found.flow_ratios, self._lines_to_units, strict=True)
                if line in lines
            ]
            if fed and min(fed) > _SPARE * target:
                yield from _if_possible(shifted(choice.bores, lists, (line,), -1))


def shifted(bores: Bores, lists: BoreLists, lines: Sequence[int], step: int) -> Bores | None:
    """The bores with some lines moved `step` sizes; None if not possible."""
    changed = list(bores)
    for line in lines:
        position = lists[line].index(bores[line]) + step
        if 0 <= position < len(lists[line]):
            changed[line] = lists[line][position]
    new = tuple(changed)
    return new if new != bores and bores_allowed(new) else None


def nearest_allowed(bores: Sequence[float], lists: BoreLists) -> Bores:
    """Nearest allowed bores from the lists: suction and main line no smaller if possible."""
    nearest = [
        min(sizes, key=lambda b: abs(b - bore)) for bore, sizes in zip(bores, lists, strict=True)
    ]
    main = max(nearest[1:])
    nearest[1] = next((bore for bore in lists[1] if bore >= main), lists[1][-1])
    nearest[0] = next(
        (bore for bore in lists[0] if bore >= max(nearest[1], nearest[0])), lists[0][-1]
    )
    if nearest[0] < nearest[1]:
        nearest[1] = max(bore for bore in lists[1] if bore <= nearest[0])
    for line in range(2, len(nearest)):
        if nearest[line] > nearest[1]:
            nearest[line] = max(bore for bore in lists[line] if bore <= nearest[1])
    return tuple(nearest)


def _if_possible(bores: Bores | None) -> Iterator[Bores]:
    if bores is not None:
        yield bores
