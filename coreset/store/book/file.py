"""The file of a SQLite book: the one that was opened, and neither another one nor an older copy in its place since."""

from __future__ import annotations

from pathlib import Path

from coreset.errors import BookError

COUNTER = slice(24, 28)
"""Place of the count of commits in a SQLite file, big-endian (sqlite.org/fileformat.html, 1.3.7)."""
ADVICE = (
    "nothing of this change is acknowledged; put the file back, or stop the server and start it on the file that is "
    "there; what clocks hold is sent again then"
)


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
        self._commits = 0

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
                f"book must stay the file that was opened, but {self._path} {happened} while it was in use: {ADVICE}"
            )

    def _count(self) -> int:
        if self._path is None:
            return 0
        with self._path.open("rb") as file:
            return int.from_bytes(file.read(COUNTER.stop)[COUNTER], "big")

    def refuse_earlier(self) -> int:
        """Count of commits in the file; asked under the lock of a writer, when no other commit is half done.

        Raises
        ------
        BookError
            If it is lower than after a commit of this server: an older copy was written over the file.
        """
        try:
            count = self._count()
        except OSError as error:
            raise BookError(f"book must stay readable, got {error.strerror} for {self._path}: {ADVICE}") from error
        if count < self._commits:
            raise BookError(
                f"book must hold all that was acknowledged, but {self._path} was overwritten by an older copy while it "
                f"was in use: {ADVICE}"
            )
        return count

    def committed(self, before: int) -> None:
        """Remember that a commit which began at that count is done; it adds one, or none if nothing changed."""
        self._commits = max(self._commits, min(self._count(), before + 1))
