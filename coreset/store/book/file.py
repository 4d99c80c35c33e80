"""The file of a SQLite book: the one that was opened, and not another one that took its place since."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Lock

from coreset.errors import BookError

BUSY_S = 30.0
"""How long a writer waits for another one. [s]"""
OWN = 0o600
"""Mode of the file: it holds codes of people and prices, and only the user that the server runs as needs it."""


def make_own(path: Path) -> None:
    """Make an empty file that only its owner can read; one that is there stays as it is."""
    with suppress(FileExistsError):
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, OWN))


def take_rights(path: Path) -> None:
    """Let nobody but its owner read a file; one of another user, or on a disk without such rights, stays as it is."""
    with suppress(OSError):
        if path.stat().st_mode & 0o777 & ~OWN:
            path.chmod(OWN)


class OpenFile:
    """A file by its device and number on the disk.

    Parameters
    ----------
    path : Path or None
        Where it lies; None where the book is no file.
    """

    def __init__(self, path: Path | None) -> None:
        self._path = path and path.absolute()
        self._identity = self._now()
        self._one = Lock()

    @contextmanager
    def turn(self) -> Iterator[None]:
        """While one of this process writes; the next one begins as soon as it has ended.

        SQLite has one writer, and lets others look again after up to 0.1 s, whoever came first.

        Raises
        ------
        BookError
            If others have written for longer than a writer waits.
        """
        if self._path is None:
            yield
            return
        if not self._one.acquire(timeout=BUSY_S):
            raise BookError(f"book must be free to write within {BUSY_S:.0f} s, got others who write: do it again")
        try:
            yield
        finally:
            self._one.release()

    def _now(self) -> tuple[int, int] | None:
        if self._path is None:
            return None
        try:
            found = self._path.stat()
        except OSError:
            return None
        return found.st_dev, found.st_ino

    def refuse_other(self) -> None:
        """Nothing, if the file that was opened still lies there.

        Raises
        ------
        BookError
            If it was deleted, moved or replaced: what is stored now would be lost with it.
        """
        now = self._now()
        if now != self._identity:
            happened = "was deleted or moved" if now is None else "was replaced by another file"
            raise BookError(
                f"book must stay the file that was opened, but {self._path} {happened} while it was in use: nothing of "
                "this change is acknowledged; put the file back, or stop the server and start it on the file that is "
                "there; what clocks hold is sent again then"
            )
