"""A file of a person's, read without waiting for ever: a pipe that nobody writes to is no file that will come."""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path
from time import monotonic, sleep

PATIENCE = 1.0  # seconds in which whoever writes to a pipe opens it
NOBODY = "it is a pipe that nobody writes to"


def read(path: Path, most: int) -> bytes:
    """The first bytes of a file, `most` at the most. Raises OSError with a reason, ValueError for no path.

    A pipe with a writer is waited for as long as it takes, as a shell's `<(command)` needs.
    """
    number = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(number, "rb") as stream:
        first = _first(number) if stat.S_ISFIFO(os.fstat(number).st_mode) else b""
        if hasattr(os, "set_blocking"):
            os.set_blocking(number, True)
        return first + stream.read(most - len(first))


def _first(number: int) -> bytes:
    """The first byte of a pipe; nothing where its writer has written none yet."""
    end = monotonic() + PATIENCE
    with suppress(BlockingIOError):  # there is a writer, and nothing to read so far
        while not (byte := os.read(number, 1)):
            if monotonic() > end:
                raise OSError(0, NOBODY)
            sleep(0.02)
        return byte
    return b""


def plain(path: Path) -> None:
    """Raises OSError for what is there and cannot be read twice: a pipe, a device."""
    mode = path.stat().st_mode
    if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):
        raise OSError(0, "it is a pipe or a device, and must be a file: save it first")
