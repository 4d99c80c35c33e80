"""The list of published tables: what each is and how well it was read."""

from __future__ import annotations

from coreset.sources import Source, sources, table, tables
from coreset.text import say


def listed(search: str = "") -> list[dict[str, str]]:
    """A row for each published table that has the words in it."""
    rows = [_row(path) for path in tables()]
    words = search.lower().split()
    return [row for row in rows if all(word in " ".join(row.values()).lower() for word in words)]


def _row(path: str) -> dict[str, str]:
    found = table(path)
    heads = [word.strip() for word in say("front.sources.heads").split("|")]
    status = say(f"front.status.{found.status}")
    return dict(zip(heads, [sources()[found.key].title, _place(path), status], strict=True))


def _place(path: str) -> str:
    """Place of a table in its publication, as its first line says it."""
    found = table(path)
    return found.source.removeprefix(f"{found.key}, ")


def label(path: str) -> str:
    """A table by its publication and its place there."""
    return say("front.sources.label", title=sources()[table(path).key].title, place=_place(path))


def citation(key: str) -> str:
    """One publication in full."""
    found: Source = sources()[key]
    parts = (found.authors, found.year, found.title, found.publisher, found.locator)
    return say("front.sources.citation", parts=". ".join(filter(None, parts)))
