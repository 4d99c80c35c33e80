"""How a sheet is laid out: where its head is, and whether cycles stand below one another or side by side."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from coreset.store.folder.readings_import import guess
from coreset.store.intake.cells import Row, column_of
from coreset.store.intake.words import CYCLES, ELEMENTS, cycle_number, is_total, part_of, plain, unit_in

Kind = Literal["list", "cycles_across", "elements_across"]
"""One reading a row; a row an element and a column a cycle; a row a cycle and a column an element."""
TOP = 60
"""Rows in which the head is looked for."""
VALUE = re.compile(r"[-+]?[\d.,:]*\d[\d.,:]*\s*(s|min|cmin|%)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where things stand: the head's place among the rows, rows of head, column by field, columns side by side."""

    kind: Kind
    head: int
    deep: int = 1
    heads: tuple[str, ...]
    columns: dict[str, int] = field(default_factory=dict)
    across: tuple[tuple[int, str, str], ...] = ()
    """Columns side by side: place, the cycle's number or the element, and the part that the second head names."""
    totals: tuple[str, ...] = ()


def layout_of(
    rows: Sequence[Row], *, head_row: int | None = None, stated: Mapping[str, str] | None = None
) -> Layout | None:
    """The layout of a sheet, None where no head can be made out.

    Parameters
    ----------
    rows : sequence of (number, cells)
        Rows that hold anything.
    head_row : int, optional
        Number of the row that a person says is the head.
    stated : mapping of str to str, optional
        Head by field as a person says, where one reading stands in a row; an empty head is no column.
    """
    stated = stated or {}
    finders = (_cycles_across, _list, _elements_across) if not stated else (_list,)
    for place in range(min(TOP, len(rows))):
        if head_row is not None and rows[place][0] != head_row:
            continue
        for find in finders:
            if found := find(rows, place, stated):
                return found
    return None


def fullest(rows: Sequence[Row]) -> int:
    """Number of the first row with the most cells among those where a head may stand."""
    return max(rows[:TOP], key=lambda row: sum(bool(cell.strip()) for cell in row[1]))[0]


def _heads(rows: Sequence[Row], place: int) -> tuple[str, ...]:
    return tuple(cell.strip() for cell in rows[place][1])


def _second(rows: Sequence[Row], place: int) -> tuple[str, ...]:
    """The row below where it is a second head: parts or units under names, and no value."""
    if place + 1 >= len(rows):
        return ()
    cells = tuple(cell.strip() for cell in rows[place + 1][1])
    filled = [cell for cell in cells if cell]
    named = [cell for cell in filled if part_of(cell) or unit_in(cell)]
    return cells if len(named) >= max(2, len(filled) / 2) and not any(map(VALUE.fullmatch, filled)) else ()


def _merged(heads: Sequence[str], width: int) -> list[str]:
    """Heads with each merged one repeated over the columns that it spans."""
    spread, last = [], ""
    for place in range(width):
        last = (heads[place] if place < len(heads) else "") or last
        spread.append(last)
    return spread


def _values(rows: Sequence[Row], first: int, place: int) -> int:
    return sum(bool(VALUE.fullmatch(cell)) for cell in column_of(rows[first:], place))


def _cycles_across(rows: Sequence[Row], place: int, _: Mapping[str, str]) -> Layout | None:
    heads, second = _heads(rows, place), _second(rows, place)
    wide = _merged(heads, max(len(heads), len(second))) if second else list(heads)
    numbered = [(i, cycle_number(head)) for i, head in enumerate(wide)]
    across = [(i, number) for i, number in numbered if number is not None and not (second and _blank(second, i))]
    numbers = list(dict.fromkeys(number for _, number in across))
    if len(numbers) < 2 or numbers != list(range(numbers[0], numbers[0] + len(numbers))):
        return None
    first = place + 1 + bool(second)
    before = [i for i in range(across[0][0]) if not _values(rows, first, i) and any(column_of(rows[first:], i))]
    named = [i for i in before if ELEMENTS.fullmatch(plain(heads[i]))] or before
    if not named:
        return None
    columns = {"element": named[0]}
    rating = [i for i, head in enumerate(heads) if part_of(head) == "rating" and i not in dict(across)]
    columns |= {"rating": rating[0]} if rating else {}
    parts = [i for i in before if i != named[0] and all(part_of(c) for c in filter(None, column_of(rows[first:], i)))]
    columns |= {"part": parts[0]} if parts else {}
    return Layout(
        kind="cycles_across", head=place, deep=1 + bool(second), heads=heads, columns=columns,
        across=tuple((i, str(number), _part(second, i)) for i, number in across),
        totals=tuple(head for head in dict.fromkeys(heads) if is_total(head)),
    )  # fmt: skip


def _part(second: Sequence[str], place: int) -> str:
    """What a second head names, if it is a part; a unit is none."""
    cell = second[place] if place < len(second) else ""
    return cell if part_of(cell) else ""


def _blank(second: Sequence[str], place: int) -> bool:
    return place >= len(second) or not second[place]


def _list(rows: Sequence[Row], place: int, stated: Mapping[str, str]) -> Layout | None:
    heads, second = _heads(rows, place), _second(rows, place)
    named = _unlike([" ".join(filter(None, pair)) for pair in _paired(heads, second)])
    heads_by_field = {name: head for name, head in {**guess(named), **stated}.items() if head in named and head}
    columns = {name: named.index(head) for name, head in heads_by_field.items()}
    first = place + 1 + bool(second)
    if not {"element", "reading_s"} <= columns.keys() or not any(column_of(rows[first:], columns["reading_s"])):
        return None
    return Layout(kind="list", head=place, deep=1 + bool(second), heads=tuple(named), columns=columns)


def _paired(heads: Sequence[str], second: Sequence[str]) -> list[tuple[str, str]]:
    width = max(len(heads), len(second))
    over = _merged(heads, width) if second else list(heads)
    return [(over[i], second[i] if i < len(second) else "") for i in range(width)]


def _unlike(heads: Sequence[str]) -> list[str]:
    """Heads with a number behind each one that was there before."""
    seen: dict[str, int] = {}
    made = []
    for head in heads:
        seen[head] = seen.get(head, 0) + 1
        made.append(head if seen[head] == 1 or not head else f"{head} ({seen[head]})")
    return made


def _elements_across(rows: Sequence[Row], place: int, _: Mapping[str, str]) -> Layout | None:
    heads, second = _heads(rows, place), _second(rows, place)
    first = place + 1 + bool(second)
    cycles = [i for i, head in enumerate(heads) if CYCLES.fullmatch(plain(head))]
    if not cycles or not _values(rows, first, cycles[0]):
        return None
    numbers = [cell for cell in column_of(rows[first:], cycles[0]) if VALUE.fullmatch(cell)]
    if len(set(numbers)) < len(numbers):  # several rows a cycle: a list whose heads are not known
        return None
    wide = _merged(heads, max(len(heads), len(second))) if second else list(heads)
    across = [
        (i, head, _part(second, i))
        for i, head in enumerate(wide)
        if i not in cycles and head and not is_total(head) and part_of(head) != "rating"
        and not plain(head).startswith(("note", "remark", "comment")) and _values(rows, first, i)
    ]  # fmt: skip
    if not across:
        return None
    columns = {"cycle": cycles[0]}
    for name, words in (("rating", ("rating", "pace", "perf")), ("note", ("note", "remark", "comment"))):
        at = [i for i, head in enumerate(heads) if plain(head).startswith(words)]
        columns |= {name: at[0]} if at else {}
    return Layout(
        kind="elements_across", head=place, deep=1 + bool(second), heads=heads, columns=columns, across=tuple(across),
        totals=tuple(head for head in dict.fromkeys(heads) if is_total(head)),
    )  # fmt: skip
