"""The list of published tables: what each is and how well it was read."""

from __future__ import annotations

from collections.abc import Callable

from coreset.sources import Edge, Source, edges, sources, table, tables
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


def disagreements() -> list[dict[str, str]]:
    """Where two prints disagree, what each says, and which is used."""
    return _edges("disagree", lambda edge: (_title(edge), edge.what, edge.one, edge.other, edge.used))


def beyond() -> list[dict[str, str]]:
    """Where a publication covers less than the use here, and what is done beyond it."""
    return _edges("less", lambda edge: (_title(edge), edge.what, edge.one, edge.other))


def _edges(kind: str, cells: Callable[[Edge], tuple[str, ...]]) -> list[dict[str, str]]:
    heads = [word.strip() for word in say(f"front.sources.{kind}_heads").split("|")]
    return [dict(zip(heads, cells(edge), strict=True)) for edge in edges(kind)]


def _title(edge: Edge) -> str:
    return sources()[edge.key].title


def citation(key: str) -> str:
    """One publication in full."""
    found: Source = sources()[key]
    parts = (found.authors, found.year, found.title, found.publisher, found.locator)
    return say("front.sources.citation", parts=". ".join(filter(None, parts)))
