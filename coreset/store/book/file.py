"""The file of a SQLite book: the one that was opened, and not another one that took its place since."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from coreset.errors import BookError

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
