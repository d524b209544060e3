"""How much work an action is, and what it must gain to be worth it."""

import heapq
import itertools
from collections.abc import Iterable, Iterator

from loop.job import Job
from loop.parts import Hose, Intake, Manifold, Seacock
from loop.parts.step import narrower
from loop.pumps import catalogue, load_pump
from loop.words.actions import Action, ChangeBarbs, ChangeBore, ChangeHose, FitPumpRated
from loop.words.base import Address, on_line, part_at

# Share of a unit's need that an action must gain where it betters a loop and cures nothing: less is
# lost among the readings of a bucket and a watch. Engineering estimate.
WORTH = 0.05

# Work of a step by its kind, the least first: common practice. What only wants a hand is none, then
# a cut in a hose; what is laid or turned wrong is put right before anything is bought; then a hose,
# a fitting, and the pump after a run of hose and what is fitted in it: it costs more, draws more
# for as long as it runs, and what is too narrow stays so. Then a pump that is yet to be found, and
# a hole in the hull, with the boat out of the water; last a pump past all that are known.
WORK = {
    "clean-strainer": 0,
    "set-valve": 0,
    "change-barbs": 1,
    "clean-grate": 1,
    "descale": 1,
    "fit-bleed": 1,
    "fit-orifice": 1,
    "fit-valve": 2,
    "move-bleed": 1,
    "change-fitting": 1,
    "remove-part": 1,
    "set-supply": 1,
    "lead-round": 2,
    "set-height": 2,
    "turn-scoop": 2,
    "change-hose": 3,
    "fit-adapter": 3,
    "lower-line": 3,
    "move-part": 3,
    "change-bore": 4,
    "change-grate": 4,
    "change-strainer": 4,
    "fit-full-bore": 4,
    "fit-part": 4,
    "fit-vent": 4,
    "lower-outlet": 4,
    "move-strainer": 4,
    "raise-outlet": 4,
    "move-pump": 5,
    "change-pump": 12,
    "fit-pump-rated": 15,
    "lower-intake": 16,
    "move-intake": 16,
}
_HULL = 16
# What is bought with hose, where it is changed along with it; and a pump that is stronger than any
# that is known, which may not be had at all.
_FITTED, _NOT_MADE = 1, 99


def work(job: Job, action: Action) -> int:
    """How much work an action on a job is, of all its steps, and of every hose that is changed."""
    return sum(_of_step(job, step) for step in action.steps)


Way = tuple[int, Iterator[Action]]


def least_work_first(job: Job, ways: Iterable[Way]) -> Iterator[Action]:
    """The actions of several ways, the least work first, each found when it is asked for.

    Each way is the least work that any of its actions may be, and the actions, by their work.
    """
    order = itertools.count()
    heap: list[tuple[int, int, Action | None, Iterator[Action]]] = [
        (least, next(order), None, actions) for least, actions in ways
    ]
    heapq.heapify(heap)
    while heap:
        least, _, action, others = heapq.heappop(heap)
        if action is not None:
            yield action
        following = next(others, None)
        if following is not None:
            rank = max(least, work(job, following))
            heapq.heappush(heap, (rank, next(order), following, others))


def _of_step(job: Job, step: Action) -> int:
    match step:
        case ChangeBore():
            return _of_bore(job, step.part)
        case ChangeHose():
            hoses = sum(_of_hose(job, at, step) for at in step.parts)
            return hoses + sum(_with_hose(job, fitting) for fitting in step.fittings)
        case ChangeBarbs():
            return WORK[step.kind] * len(step.parts)
        case FitPumpRated():
            return WORK[step.kind] if _made(step) else _NOT_MADE
    return WORK[step.kind]


def _of_hose(job: Job, at: Address, step: ChangeHose) -> int:
    """Of a hose; what is ribbed and gives way to smooth was laid wrong."""
    hose = part_at(job, at)
    wrong = isinstance(hose, Hose) and hose.ribbed and step.lining not in (None, "ribbed")
    return WORK["set-height"] if wrong else WORK[step.kind]


def _with_hose(job: Job, part: Address) -> int:
    """Of what is changed along with hose: what is bought with it is fitted with it."""
    fitting = part_at(job, part)
    plain = fitting.with_hose and not isinstance(fitting, Seacock | Manifold)
    return _FITTED if plain else _of_bore(job, part)


def _made(step: FitPumpRated) -> bool:
    """Whether any pump of the catalogue, on whatever supply, does as much."""
    return any(float(load_pump(name).head(step.flow)) >= step.head for name in catalogue())


def _of_bore(job: Job, part: Address) -> int:
    """Of another bore in the line; what is narrower than its hoses was fitted wrong.

    Or of the hole in the hull by which the water comes in.
    """
    if isinstance(part_at(job, part), Intake):
        return _HULL
    return WORK["set-height" if narrow_of_line(job, part) else "change-bore"]


def narrow_of_line(job: Job, part: Address) -> float:
    """The bore [m] of the least hose on a part's line, where the part is narrower; otherwise 0."""
    hoses = [item.part.inner_bore for item in on_line(job, part) if isinstance(item.part, Hose)]
    bore = min(hoses, default=0.0)
    return bore if narrower(part_at(job, part).inner_bore, bore) else 0.0
