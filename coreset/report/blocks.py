"""The pieces that a page of the brief is made of, whatever sets it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coreset.text import say


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One piece of a page. `kind`: heading, subheading, text, lines, table, picture, pair, figures, sign.

    `text` is the heading, the paragraph or the caption; `rows` the cells of a table (the first row its heads) or lines;
    `pictures` the names of one or two pictures.
    """

    kind: str
    text: str = ""
    rows: tuple[tuple[str, ...], ...] = ()
    pictures: tuple[str, ...] = ()
    figures: tuple[FigureBlock, ...] = ()


def heads(key: str, **blanks: str) -> tuple[str, ...]:
    """Heads of a table, left to right."""
    return tuple(word.strip() for word in say(f"brief.heads.{key}", **blanks).split("|"))


def heading(key: str) -> Block:
    """A heading by its key."""
    return Block(kind="heading", text=say(f"brief.head.{key}"))


def text(words: str) -> Block:
    """A paragraph."""
    return Block(kind="text", text=words)


def table(key: str, rows: Sequence[Sequence[str]], **blanks: str) -> list[Block]:
    """A table with its heads; nothing where there are no rows."""
    return (
        [Block(kind="table", text=say(f"brief.head.{key}"), rows=(heads(key, **blanks), *map(tuple, rows)))]
        if rows
        else []
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureBlock:
    """One figure of page one: what it is, its value with unit, what it lies between."""

    what: str
    value: str
    interval: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """Title line, headline, the blocks of page one, page two and the annex of the long form; large print or not."""

    title: str
    line: str
    headline: str
    language: str
    paper: str
    one: tuple[Block, ...]
    two: tuple[Block, ...]
    annex: tuple[Block, ...]
    large: bool = False
