"""Atomic file writing."""

import contextlib
import os
import secrets
import stat
from pathlib import Path


def put_whole(target: Path, data: bytes) -> None:
    """Write a temporary file, then rename it over the target in one step, keeping the old mode.

    Raises OSError if the folder or the disk refuses. Whatever interrupts it, an error or a stop
    from the keyboard or from outside, the old file stays and nothing is left beside it.
    """
    # Named before it exists, so that an interrupt at any moment finds it to clean up.
    beside = target.parent / f".{target.name[:100]}.{secrets.token_hex(8)}"
    try:
        with beside.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            beside.chmod(stat.S_IMODE(target.stat().st_mode))
        beside.replace(target)
    except BaseException as error:
        if isinstance(error, OSError) and error.filename2 is None:
            error.filename = str(target)  # report the name that the user knows
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
