"""How much work an action is, and how much it must gain to be worthwhile."""

import heapq
import itertools
from collections.abc import Iterable, Iterator

from loop.job import Job
from loop.parts import Hose, Intake, Manifold, Seacock
from loop.parts.step import narrower
from loop.pumps import catalogue, load_pump
from loop.words.actions import Action, ChangeBarbs, ChangeBore, ChangeHose, FitPumpRated
from loop.words.base import Address, on_line, part_at

# Share of a unit's need that an action must gain if it improves a loop without curing anything:
# less is lost in the scatter of bucket and watch readings. Engineering estimate.
LEAST_GAIN = 0.05

# Work of a step by kind, least first: common practice. Zero for what takes only a hand, then a cut
# in a hose. Anything installed wrong is corrected before anything is bought. Then a hose, a
# fitting, and the pump after a run of hose with its fittings: a pump costs more, draws more power
# as long as it runs, and leaves narrow parts narrow. Then a pump that is yet to be found, and a
# hole in the hull, with the boat hauled; last a pump beyond all known ones.
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
    "even-hose": 2,
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
# Fittings bought and changed along with hose; and a pump stronger than any known, which may not
# exist.
_FITTED, _NOT_MADE = 1, 99


def work(job: Job, action: Action) -> int:
    """Work of an action on a job: the sum of its steps, and of every hose that is changed."""
    return sum(_step_work(job, step) for step in action.steps)


Strategy = tuple[int, Iterator[Action]]


def least_work_first(job: Job, strategies: Iterable[Strategy]) -> Iterator[Action]:
    """The actions of several ways, least work first, each found only when asked for.

    Each way: a lower bound on the work of its actions, and the actions in order of work.
    """
    order = itertools.count()
    heap: list[tuple[int, int, Action | None, Iterator[Action]]] = [
        (least, next(order), None, actions) for least, actions in strategies
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


def _step_work(job: Job, step: Action) -> int:
    match step:
        case ChangeBore():
            return _bore_work(job, step.part)
        case ChangeHose():
            hoses = sum(_hose_work(job, at, step) for at in step.parts)
            return hoses + sum(_fitting_work(job, fitting) for fitting in step.fittings)
        case ChangeBarbs():
            return WORK[step.kind] * len(step.parts)
        case FitPumpRated():
            return WORK[step.kind] if _exists(step) else _NOT_MADE
    return WORK[step.kind]


def _hose_work(job: Job, at: Address, step: ChangeHose) -> int:
    """Work on a hose; ribbed hose that is replaced with smooth counts as installed wrong."""
    hose = part_at(job, at)
    wrong = isinstance(hose, Hose) and hose.ribbed and step.lining not in (None, "ribbed")
    return WORK["set-height"] if wrong else WORK[step.kind]


def _fitting_work(job: Job, part: Address) -> int:
    """Work on a part changed along with hose: a fitting bought with hose is fitted with it."""
    fitting = part_at(job, part)
    plain = fitting.with_hose and not isinstance(fitting, Seacock | Manifold)
    return _FITTED if plain else _bore_work(job, part)


def _exists(step: FitPumpRated) -> bool:
    """Whether any catalogue pump, on any supply, meets the duty."""
    return any(float(load_pump(name).head(step.flow)) >= step.head for name in catalogue())


def _bore_work(job: Job, part: Address) -> int:
    """Work of another bore; a part narrower than its hoses counts as installed wrong.

    For an intake, that of the hole in the hull.
    """
    if isinstance(part_at(job, part), Intake):
        return _HULL
    return WORK["set-height" if line_bore_if_narrower(job, part) else "change-bore"]


def line_bore_if_narrower(job: Job, part: Address) -> float:
    """The least hose bore [m] on a part's line, if the part is narrower; otherwise 0."""
    hoses = [item.part.inner_bore for item in on_line(job, part) if isinstance(item.part, Hose)]
    bore = min(hoses, default=0.0)
    return bore if narrower(part_at(job, part).inner_bore, bore) else 0.0
