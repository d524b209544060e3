"""How much of a sizing's work is done."""

from collections.abc import Callable

Progress = Callable[[int, int], None]
Step = Callable[[], None]

_TOTAL = 1000


class Work:
    """Work done, in thousandths, with a share for each phase."""

    def __init__(self, progress: Progress | None) -> None:
        self.done, self._end, self._progress = 0.0, 0.0, progress

    def phase(self, share: int, steps: int) -> Step:
        """Plan the next phase; return the function to call at each of its steps."""
        start, self._end = self._end, self._end + share
        end, per_step = self._end, share / max(steps, 1)

        def step() -> None:
            self._report(max(self.done, min(max(self.done, start) + per_step, end)))

        self._report(self.done)
        return step

    def end(self) -> None:
        """Report that everything is done."""
        self._report(_TOTAL)

    def _report(self, done: float) -> None:
        self.done = done
        if self._progress is not None:
            self._progress(round(done), _TOTAL)
