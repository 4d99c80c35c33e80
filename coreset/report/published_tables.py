"""The list of published tables: what each is, how well it was read, which tests check it."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

from coreset.sources import STATUSES, Source, sources, table, tables
from coreset.text import say


@cache
def checks() -> dict[str, tuple[str, ...]]:
    """Test files that read each table, by its path; written by tests/list_checks.py."""
    text = (files("coreset.reference") / "checks.csv").read_text(encoding="utf-8")
    found: dict[str, list[str]] = {}
    for row in csv.DictReader(text.splitlines()):
        found.setdefault(row["table"], []).append(row["test"])
    return {path: tuple(tests) for path, tests in found.items()}


def listed(search: str = "") -> list[dict[str, str]]:
    """A row for each published table that has the words in it."""
    rows = [_row(path) for path in tables()]
    words = search.lower().split()
    return [row for row in rows if all(word in " ".join(row.values()).lower() for word in words)]


def _row(path: str) -> dict[str, str]:
    found = table(path)
    heads = [word.strip() for word in say("front.sources.heads").split("|")]
    place = found.source.removeprefix(f"{found.key}, ")
    status = say(f"front.status.{found.status}")
    # Names of files without their folder: with it the table is wider than a tablet.
    tests = ", ".join(test.rsplit("/", 1)[-1] for test in checks().get(path, ())) or say("front.sources.no_test")
    return dict(zip(heads, [path, place, str(len(found.rows)), status, tests], strict=True))


def answer() -> str:
    """How many tables there are and how well they were read."""
    statuses = [table(path).status for path in tables()]
    counts = {name: statuses.count(name) for name in STATUSES}
    return say("front.sources.answer", all=len(statuses), **counts)


def citation(key: str) -> str:
    """One publication in full."""
    found: Source = sources()[key]
    parts = (found.authors, found.year, found.title, found.publisher, found.locator)
    return say("front.sources.citation", parts=". ".join(filter(None, parts)))
