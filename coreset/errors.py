"""What coreset raises on purpose; a message says what must hold and what was found."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from coreset.text import message


class CoresetError(ValueError):
    """Any refusal that a user can act on; the command turns it into exit status 2."""

    def __str__(self) -> str:
        """In the language of the person who reads it."""
        return message(super().__str__())


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
        row = message(f", row {self.row}") if self.row is not None else ""
        column = message(f", column {self.column}") if self.column else ""
        return f"{self.file}{row}{column}: {message(f'found {self.found}, expected {self.expected}')}"


class StudyError(CoresetError):
    """A case, a study or a readings file that cannot be read; carries every fault found in it."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__(*self.faults)

    def __str__(self) -> str:
        """One line a fault, in the language of the person who reads them."""
        return "\n".join(map(str, self.faults))

    def __reduce__(self) -> tuple[type[StudyError], tuple[tuple[Fault, ...]]]:
        """As it goes from one process to another: with its faults."""
        return type(self), (self.faults,)


class BookError(CoresetError):
    """The book refused: locked, full, read-only, newer than this version, or damaged."""
