"""Places of a job after an action."""

from collections.abc import Mapping
from dataclasses import replace

from loop.job import Insert, Job, Remove, locate
from loop.job.address import Path, address_text, read_address
from loop.records import dataclass
from loop.words.actions import FitBleed, MoveBleed
from loop.words.base import Action, Address
from loop.words.finding import Place


@dataclass(frozen=True)
class Moves:
    """The renumbering of a job's parts by one action.

    ``paths`` are the parts' paths; ``steps`` where a part is inserted (true) or removed; ``cuts``
    the distances [m] at which a hose is cut.
    """

    paths: Mapping[Address, Path]
    steps: tuple[tuple[Path, bool], ...]
    cuts: Mapping[Address, tuple[float, ...]]

    @staticmethod
    def of(action: Action, job: Job) -> "Moves":
        """The renumbering; raises JobError if the action does not fit the job."""
        steps = tuple(
            (read_address(job, edit.address), isinstance(edit, Insert))
            for edit in action.edits(job)
            if isinstance(edit, Insert | Remove)
        )
        fits = [step.fitting if isinstance(step, MoveBleed) else step for step in action.steps]
        cuts: dict[Address, tuple[float, ...]] = {}
        for fit in fits:
            if isinstance(fit, FitBleed) and fit.along is not None:
                cuts[fit.part] = (*cuts.get(fit.part, ()), fit.along)
        paths = {item.address: item.path for item in locate(job.part)} if steps else {}
        return Moves(paths, steps, cuts)

    def of_place(self, at: Place) -> Place | None:
        """A place after the action; None if its part was removed.

        A point beyond a cut in a hose lies on the next piece.
        """
        if at.part is None or not self.steps:
            return at
        path = self._renumbered(self.paths[at.part])
        if path is None:
            return None
        cuts = sorted(self.cuts.get(at.part, ()))
        behind = [cut for cut in cuts if at.along is not None and cut < at.along]
        if not behind or at.along is None:
            return replace(at, part=address_text(path))
        last = path[-1]
        assert isinstance(last, int)
        piece = address_text((*path[:-1], last + 2 * len(behind)))
        return replace(at, part=piece, along=at.along - behind[-1])

    def _renumbered(self, whole: Path) -> Path | None:
        path = list(whole)
        for depth, here in enumerate(whole):
            if not isinstance(here, int) or whole[depth - 1] != "part":
                continue
            shift = 0
            for target, puts_in in self.steps:
                index = target[-1]
                if target[:-1] != whole[:depth] or not isinstance(index, int):
                    continue
                if not puts_in and index == here:
                    return None
                if index < here or (puts_in and index == here):
                    shift += 1 if puts_in else -1
            path[depth] = here + shift
        return tuple(path)


def moved(at: Place, action: Action, job: Job) -> Place | None:
    """One place after an action; see `Moves.of_place`."""
    return Moves.of(action, job).of_place(at)
