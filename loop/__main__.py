"""`python -m loop`, and where the installed command begins."""

import gc
import signal


def main() -> None:
    """Runs the command line."""
    # While the libraries load, a stop from the keyboard ends the program as the system does: there
    # is nothing to tidy up yet, and nobody to tell of it.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    # Nor is garbage looked for among what loads and stays: see `loop.cli.main`.
    gc.disable()
    from loop.cli import main as run

    run()


if __name__ == "__main__":
    main()
