"""Published figures: the only reader of reference/. In: a key and a table. Out: rows as printed."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

from coreset.errors import SourceError

STATUSES = ("verified", "reprinted", "memory")
HEADER_LINES = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One publication that figures come from: a row of reference/sources.csv."""

    key: str
    title: str
    authors: str
    year: str
    publisher: str
    locator: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One published table, digits as printed.

    `status` is the weakest of its rows; a row may carry its own in a column `status`.
    """

    key: str
    name: str
    source: str
    status: str
    rows: tuple[dict[str, str], ...]

    def column(self, name: str) -> tuple[float, ...]:
        """One column as numbers, in printed order; an empty cell is NaN."""
        return tuple(float(row[name]) if row[name] else float("nan") for row in self.rows)

    def row_status(self, row: dict[str, str]) -> str:
        """Status of one row: its own, else the table's."""
        return row.get("status") or self.status


def _root() -> Traversable:
    return files("coreset.reference")


@cache
def sources() -> dict[str, Source]:
    """Every source by its key, in the order of reference/sources.csv."""
    text = (_root() / "sources.csv").read_text(encoding="utf-8")
    return {row["key"]: Source(**row) for row in csv.DictReader(text.splitlines())}


def _header(line: str, word: str, path: str) -> str:
    prefix = f"# {word}: "
    if not line.startswith(prefix):
        raise SourceError(f"{path} must begin with '# source: ' and '# status: ' lines, got {line!r}")
    return line.removeprefix(prefix).strip()


@cache
def table(path: str) -> Table:
    """One published table by its path below reference/, such as ``waters1994/table5_frequency``.

    Raises
    ------
    SourceError
        If there is no such table, its header is malformed, or its key or status is unknown.

    Examples
    --------
    >>> table("waters1994/table7_coupling").rows[0]["cm_low"]
    '1.00'
    """
    resource = _root() / f"{path}.csv"
    if not resource.is_file():
        raise SourceError(f"reference table must exist, got {path!r}")
    lines = resource.read_text(encoding="utf-8").splitlines()
    source, status = _header(lines[0], "source", path), _header(lines[1], "status", path)
    key, _, name = path.rpartition("/")
    if key not in sources():
        raise SourceError(f"source key must be a row of sources.csv, got {key!r}")
    rows = tuple(csv.DictReader(lines[HEADER_LINES:]))
    for found in {status, *(row.get("status") or status for row in rows)}:
        if found not in STATUSES:
            raise SourceError(f"status must be one of {', '.join(STATUSES)}, got {found!r} in {path}")
    return Table(key=key, name=name, source=source, status=status, rows=rows)


def tables() -> Iterator[str]:
    """Path of every table below reference/, sorted."""
    for folder in sorted(_root().iterdir(), key=lambda item: item.name):
        if folder.is_dir() and not folder.name.startswith("_"):
            for item in sorted(folder.iterdir(), key=lambda entry: entry.name):
                if item.name.endswith(".csv"):
                    yield f"{folder.name}/{item.name.removesuffix('.csv')}"
