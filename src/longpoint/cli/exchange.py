"""Two steps that Python does not know: folders that change places at once, and a file system written out."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from pathlib import Path

_HERE = -100  # AT_FDCWD: paths count from where the process stands
_EXCHANGE = 2  # RENAME_EXCHANGE of Linux, RENAME_SWAP of macOS


class CannotExchangeError(OSError):
    """The system or the file system knows no such step, or will not take it for these two."""


def exchange(one: Path, other: Path) -> None:
    """Two folders of one file system change places; nobody ever finds one of them missing.

    Raises:
        CannotExchangeError: If that cannot be done; then nothing has changed.
    """
    libc = ctypes.CDLL(None, use_errno=True)
    first, second = os.fsencode(one), os.fsencode(other)
    try:
        if sys.platform == "darwin":
            failed = libc.renamex_np(first, second, _EXCHANGE)
        else:
            failed = libc.renameat2(_HERE, first, _HERE, second, _EXCHANGE)
    except AttributeError:
        raise CannotExchangeError(errno.ENOSYS, "no exchange of folders") from None
    if failed:
        number = ctypes.get_errno()
        raise CannotExchangeError(number, os.strerror(number))


def onto_disk(folder: Path) -> None:
    """Waits until what was written is on the disk of a folder, where the system can tell.

    A power cut after results changed places must not find names without contents. One call for all files: one each
    would take seconds.

    Raises:
        OSError: If the disk did not take it.
    """
    libc = ctypes.CDLL(None, use_errno=True)
    held = os.open(folder, os.O_RDONLY)
    try:
        failed = libc.syncfs(held)
    except AttributeError:  # another system than Linux
        return
    finally:
        os.close(held)
    if failed and (number := ctypes.get_errno()) in (errno.EIO, errno.ENOSPC, errno.EDQUOT):
        raise OSError(number, os.strerror(number))
