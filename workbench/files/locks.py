"""Locks on open files, which the system lets go of however their process ends."""

from __future__ import annotations

import errno
import os
import sys

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

_NO_LOCKS = (errno.ENOLCK, errno.ENOTSUP, errno.ENOSYS, errno.EINVAL)


def take_lock(handle: int) -> bool:
    """Hold an open file for as long as it is open; False if another holds it.

    Raises
    ------
    OSError
        on a file system without locks.
    """
    try:
        if sys.platform == "win32":
            os.lseek(handle, 0, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as problem:
        if problem.errno in _NO_LOCKS:
            raise
        return False
    return True
