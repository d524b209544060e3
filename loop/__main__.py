"""`python -m loop`, and the entry point of the installed command."""

import atexit
import gc
import os
import signal
import sys

# Size of the interpreter's stack chunk requested for a command, in cells of 8 bytes.
_STACK = 2**16


def main() -> None:
    """Run the command line."""
    # While libraries load, Ctrl-C kills the process with the default action: nothing to clean up or
    # report yet.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    # No garbage collection either, since what loads stays: see `loop.cli.main`.
    gc.disable()
    end = _End()
    # Registered first, so called last, when all other exit handlers have run.
    atexit.register(end.at_once)
    try:
        _in_one_piece()
    except SystemExit as ended:
        end.status = ended.code or 0
        raise
    end.status = 0


class _End:
    """Ends the process early once its status is known."""

    status: object = None

    def at_once(self) -> None:
        """End the process without interpreter teardown.

        Freeing the libraries' objects one by one takes 3 % of a short command's time, and the
        process frees them anyway.
        """
        if isinstance(self.status, int):
            try:
                sys.stdout.flush()
                sys.stderr.flush()
            except (OSError, ValueError):
                return  # the interpreter reports it
            os._exit(self.status)


def _in_one_piece() -> None:
    from loop.cli import main as run

    run()


# The interpreter allocates its stack in chunks of 16 KB. A loop whose calls straddle the end of a
# chunk makes it allocate and free one at each call, over a thousand times while a command loads: 3
# % of its time. A function that declares a stack larger than a chunk gets a larger chunk, with room
# for everything it calls; memory that is not touched is not committed.
_in_one_piece.__code__ = _in_one_piece.__code__.replace(co_stacksize=_STACK)


if __name__ == "__main__":
    main()
