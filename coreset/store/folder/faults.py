"""Everything wrong with a case, gathered before anything is refused. In: spots in files. Out: one StudyError."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import Any

from coreset.errors import Fault, StudyError

FAULTS_SHOWN = 200
SHOWN_CHARACTERS = 60


def shown(value: Any) -> str:
    """A value as a fault shows it: quoted, control characters escaped, never longer than a line.

    Examples
    --------
    >>> shown("twelve"), shown(12.5), shown("")
    ("'twelve'", '12.5', 'an empty cell')
    """
    if value is None or value == "":
        return "an empty cell" if value == "" else "nothing"
    if isinstance(value, str | bytes):
        whole = repr(value[: SHOWN_CHARACTERS + 1])
        return whole if len(value) <= SHOWN_CHARACTERS else f"{whole[:SHOWN_CHARACTERS]}...'"
    if isinstance(value, int) and not isinstance(value, bool) and value.bit_length() > 200:
        return "a whole number of more than 60 digits"
    if isinstance(value, dict | list | tuple):
        return "a table" if isinstance(value, dict) else "a list"
    return str(value)[:SHOWN_CHARACTERS]


def one_of(names: Iterable[str]) -> str:
    """A list of allowed words, cut where it would fill the screen."""
    names = [str(name) for name in names]
    listed = ", ".join(shown(name) for name in names[:12])
    return f"one of {listed}{', ...' if len(names) > 12 else ''}" if names else "none: there are none yet"


def known_name(name: str, names: Iterable[str]) -> str:
    """What was expected instead of an unknown name: the nearest one, else the list of all."""
    names = list(names)
    near = get_close_matches(str(name)[:100], names[:5000], n=1, cutoff=0.7)
    return f"{near[0]!r}, perhaps" if near else one_of(names)


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultSpot:
    """Where something stands: a file, a row of a table, or a table of a TOML file with its lines."""

    file: str
    row: int | None = None
    table: str = ""
    lines: tuple[str, ...] = ()

    def fault(self, *, found: str, expected: str, column: str | None = None) -> Fault:
        """A fault at this spot; in a TOML file the line is looked for."""
        row = self.row if not self.lines else self._line(column)
        column = f"{self.table}.{column}" if self.table and column and self.lines else column
        return Fault(file=self.file, row=row, column=column or self.table or None, found=found, expected=expected)

    def below(self, table: str) -> FaultSpot:
        """The same file, in a table below this one."""
        return replace(self, table=f"{self.table}.{table}" if self.table else table)

    def _line(self, column: str | None) -> int | None:
        """Line of a key in its table, or of the table's own head; None if it was written some other way."""
        head_of = re.fullmatch(r"(.*?)(?:\[(\d+)\])?", self.table, re.DOTALL)
        table, number = head_of.groups() if head_of else (self.table, None)
        left, current, head = int(number or 1), "", None
        for row, line in enumerate(self.lines, start=1):
            text = line.strip()
            if text.startswith("["):
                current = text.split("]")[0].strip("[ ").replace('"', "")
                left -= current == table
                head = row if current == table and left == 0 and head is None else head
            elif column and current == table and left <= (0 if table else 1):
                key = text.split("=")[0].strip().strip('"')
                if "=" in text and key == column.split(".")[0] and (left == 0 or not table):
                    return row
        return head


class Faults:
    """A list of faults that stops growing where nobody would read on."""

    def __init__(self) -> None:
        self.found: list[Fault] = []
        self.more = 0

    def add(self, fault: Fault) -> None:
        """Take one fault in."""
        if len(self.found) < FAULTS_SHOWN:
            self.found.append(fault)
        else:
            self.more += 1

    def raise_any(self) -> None:
        """Refuse with all of them, in the order of files and rows; do nothing if there are none."""
        if not self.found:
            return
        faults = sorted(self.found, key=lambda fault: (fault.file != "case.toml", fault.file, fault.row or 0))
        if self.more:
            faults.append(Fault(file=faults[-1].file, found=f"{self.more} faults more", expected="none"))
        raise StudyError(faults)
