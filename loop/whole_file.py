"""Files written whole or not at all."""

import contextlib
import os
import secrets
import stat
from pathlib import Path


def put_whole(target: Path, data: bytes) -> None:
    """Writes a file beside its place, then puts it there in one step; a file there keeps its mode.

    Raises OSError where the folder or the disk will not take it. Whatever ends it early, an error
    or a stop from the keyboard or from outside, the old file stays and nothing is left beside it.
    """
    # Named before it is there, so that no moment is left in which a stop would forget it.
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
            error.filename = str(target)  # what nobody has heard of is no help
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
