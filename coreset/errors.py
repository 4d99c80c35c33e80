"""What coreset raises on purpose; a message says what must hold and what was found."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


class CoresetError(ValueError):
    """Any refusal that a user can act on; the command turns it into exit status 2."""


class OutOfRange(CoresetError):
    """A value that cannot be: outside what the quantity, or the source's equation, allows."""


class SourceError(CoresetError):
    """A reference table that is missing, or not in the form that DEVELOPERS.md describes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing wrong in a file: where it stands, what was found, what was expected."""

    file: str
    found: str
    expected: str
    row: int | None = None
    column: str | None = None

    def __str__(self) -> str:
        row = f", row {self.row}" if self.row is not None else ""
        column = f", column {self.column}" if self.column else ""
        return f"{self.file}{row}{column}: found {self.found}, expected {self.expected}"


class StudyError(CoresetError):
    """A case, a study or a readings file that cannot be read; carries every fault found in it."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type[StudyError], tuple[tuple[Fault, ...]]]:
        """As it goes from one process to another: with its faults."""
        return type(self), (self.faults,)


class BookError(CoresetError):
    """The book refused: locked, full, read-only, newer than this version, or damaged."""
