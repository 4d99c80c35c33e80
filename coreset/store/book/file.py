"""The file of a SQLite book: the one that was opened, and not another one that took its place since."""

from __future__ import annotations

from pathlib import Path

from coreset.errors import BookError


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
