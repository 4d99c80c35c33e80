"""Published figures and rules: the only reader of reference/. In: a key and a table. Out: rows as printed."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from coreset.errors import SourceError

STATUSES = ("verified", "reprinted", "computed", "memory")
"""How well a figure was read, best first; `computed` ones are a formula's own values that nobody printed."""
RULE_STATUSES = (*STATUSES, "ours")
"""A rule may also be `ours`: the publication is silent there."""
HEADER_LINES = 2
LEDGER = "rules"


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule of a published method in our own words: a row of reference/<key>/rules.csv.

    `tests` are those that hold it, as ``tests/test_x.py::test_name``; a rule without any says in `not_used` why the
    product does not apply it.
    """

    key: str
    id: str
    rule: str
    place: str
    status: str
    tests: tuple[str, ...]
    not_used: str


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
                if item.name.endswith(".csv") and item.name != f"{LEDGER}.csv" and folder.name in sources():
                    yield f"{folder.name}/{item.name.removesuffix('.csv')}"


@cache
def rules() -> tuple[Rule, ...]:
    """Every rule of every publication, by key and in the order of its file.

    Raises
    ------
    SourceError
        If a key is no row of sources.csv, a status is not known, or a rule has neither a test nor a reason.

    Examples
    --------
    >>> next(rule.status for rule in rules() if rule.id == "N-v-fm")
    'reprinted'
    """
    return tuple(
        _rule(folder.name, row)
        for folder in sorted(_root().iterdir(), key=lambda item: item.name)
        if folder.is_dir() and (folder / f"{LEDGER}.csv").is_file()
        for row in csv.DictReader((folder / f"{LEDGER}.csv").read_text(encoding="utf-8").splitlines())
    )


@cache
def rule(key: str, name: str) -> Rule:
    """One rule of a publication by its id.

    Raises
    ------
    SourceError
        If the publication has no such rule.
    """
    for each in rules():
        if (each.key, each.id) == (key, name):
            return each
    raise SourceError(f"rule must be a row of reference/{key}/rules.csv, got {name!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """A row of reference/edges.csv: where two prints disagree, or where a publication covers less than its use.

    `one` and `other` are the two prints (kind `disagree`), or what is covered and what is done beyond it (`less`).
    `used` is which of two prints is used, `rule` the rule that it belongs to.
    """

    kind: str
    key: str
    what: str
    one: str
    other: str
    used: str
    rule: str


@cache
def edges(kind: str) -> tuple[Edge, ...]:
    """Rows of one kind, `disagree` or `less`, in the order of the file."""
    text = (_root() / "edges.csv").read_text(encoding="utf-8")
    return tuple(Edge(**row) for row in csv.DictReader(text.splitlines()) if row["kind"] == kind)


def weakest(statuses: Iterable[str]) -> str:
    """The weakest of several statuses; a rule of our own says nothing of how a publication was read.

    Examples
    --------
    >>> weakest(["reprinted", "memory", "verified"]), weakest(["ours", ""])
    ('memory', '')
    """
    return max((each for each in statuses if each in STATUSES), default="", key=STATUSES.index)


def used(key: str, *names: str, rows: Iterable[str] = ()) -> dict[str, Any]:
    """Source, rules and status of a line of working: the weakest of its rules and of the table rows that it reads.

    Parameters
    ----------
    key : str
        Publication.
    *names : str
        Ids of its rules that decide the value.
    rows : iterable of str
        Statuses of the rows of its tables that the value was read from.

    Examples
    --------
    >>> used("murrell1965", "REST-energy")
    {'source': 'murrell1965', 'rules': ('REST-energy',), 'status': 'reprinted'}
    """
    return {"source": key, "rules": names, "status": weakest([*(rule(key, name).status for name in names), *rows])}


def _rule(key: str, row: dict[str, str]) -> Rule:
    columns = {name: text for name, text in row.items() if name != "tests"}
    found = Rule(**(columns | {"key": key}), tests=tuple(row["tests"].split()))
    if key not in sources():
        raise SourceError(f"source key must be a row of sources.csv, got {key!r}")
    if found.status not in RULE_STATUSES:
        raise SourceError(f"status must be one of {', '.join(RULE_STATUSES)}, got {found.status!r} for {found.id}")
    if bool(found.tests) == bool(found.not_used):
        raise SourceError(f"a rule must have tests or a reason why it is not used, one of the two: {found.id}")
    return found
