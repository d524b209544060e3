"""`python -m loop`, and where the installed command begins."""

import atexit
import gc
import os
import signal
import sys

# Cells of the interpreter's stack [8 bytes each] that a command is given in one piece.
_STACK = 2**16


def main() -> None:
    """Runs the command line."""
    # While the libraries load, a stop from the keyboard ends the program as the system does: there
    # is nothing to tidy up yet, and nobody to tell of it.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    # Nor is garbage looked for among what loads and stays: see `loop.cli.main`.
    gc.disable()
    end = _End()
    # What is registered first is called last: all others have put their things in order by then.
    atexit.register(end.at_once)
    try:
        _in_one_piece()
    except SystemExit as ended:
        end.status = ended.code or 0
        raise
    end.status = 0


class _End:
    """The end of the process, where it is known with which status."""

    status: object = None

    def at_once(self) -> None:
        """Ends it as it is.

        The interpreter would first take apart, one by one, what the libraries are made of, which
        goes with the process anyway: 3 % of a short command's time.
        """
        if isinstance(self.status, int):
            try:
                sys.stdout.flush()
                sys.stderr.flush()
            except (OSError, ValueError):
                return  # the interpreter tells of it
            os._exit(self.status)


def _in_one_piece() -> None:
    from loop.cli import main as run

    run()


# The interpreter keeps its stack in pieces of 16 KB. A loop that makes its calls where one ends has
# the system give a piece and take it back at each of them, a thousand times and more as a command
# loads: 3 % of its time. A call that says it needs more than a piece is given a larger one, with
# room for all that it calls; memory that is not used is not taken.
_in_one_piece.__code__ = _in_one_piece.__code__.replace(co_stacksize=_STACK)


if __name__ == "__main__":
    main()
