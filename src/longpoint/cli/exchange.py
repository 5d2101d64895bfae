"""Two folders change places in one step, where system and file system can do that."""

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
