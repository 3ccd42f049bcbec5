"""A lock on an open file that dies with its process, so that a crash leaves nothing locked."""

from __future__ import annotations

import sys


def lock(handle: int) -> bool:
    """Take the lock on the open file `handle` without waiting. False: another process holds it."""
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True  # a file system without locks: better unlocked than unusable
    return True
