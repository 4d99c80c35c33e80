"""How the figures of a sheet are written: decimal sign, unit of the times, letters that stand for marks."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import get_args

from coreset.case.study import Mark
from coreset.errors import Fault, StudyError
from coreset.store.folder.readings_import import FORMS, ReadingsTable
from coreset.store.intake.answers import IntakeAnswers, choice_words
from coreset.store.intake.as_list import HEADS
from coreset.store.intake.cells import Row
from coreset.store.intake.layout import Layout
from coreset.store.intake.words import LETTERS, plain, unit_in

POINT, COMMA = "point", "comma"
THOUSANDS = re.compile(r"\d{1,3}([.,])\d{3}")
SUFFIX = re.compile(r"(.*\d)\s*(s|sec|min|cmin)")
WRITTEN = {"sec": "s"}
MARKS = tuple(filter(None, get_args(Mark)))
NOTHING = "nothing"
READING, RATING = HEADS.index("reading_s"), HEADS.index("rating")


def decimal_of(table: ReadingsTable, asked: IntakeAnswers) -> str:
    """Decimal sign of times and ratings: as the cells show, asked where they leave it open; empty until answered."""
    cells = [row[place] for _, row in table.rows for place in (READING, RATING) if row[place]]
    signs = {max(sign for sign in re.findall(r"[.,]", cell)[-1:]) for cell in cells if re.search(r"[.,]", cell)}
    both = [cell for cell in cells if "." in cell and "," in cell]
    if both:
        signs = {re.findall(r"[.,]", both[0])[-1]}
    if answer := asked.given("decimal", (POINT, COMMA)):
        return answer
    open_cells = [cell for cell in cells if re.search(r"[.,]", cell) and not THOUSANDS.fullmatch(cell)]
    if len(signs) == 2 or ("," in signs and not open_cells and not both):
        return asked.ask("decimal", (POINT, COMMA), example=next(c for c in cells if "," in c))
    if "," in signs:
        asked.tell("decimal_comma", example=next(cell for cell in cells if "," in cell))
        return COMMA
    return POINT


def plain_points(table: ReadingsTable, decimal: str) -> ReadingsTable:
    """The table with points for decimals and no signs of thousands in times and ratings."""

    def pointed(cell: str) -> str:
        cell = cell.replace(" ", "").replace("'", "")
        return cell.replace(".", "").replace(",", ".") if decimal == COMMA else cell.replace(",", "")

    return _changed(table, (READING, RATING), pointed)


def _changed(table: ReadingsTable, places: Iterable[int], change: Callable[[str], str]) -> ReadingsTable:
    places = frozenset(places)
    rows = tuple(
        (number, tuple(change(cell) if place in places else cell for place, cell in enumerate(cells)))
        for number, cells in table.rows
    )
    return replace(table, rows=rows)


def unit_of(
    rows: Sequence[Row], layout: Layout, table: ReadingsTable, asked: IntakeAnswers
) -> tuple[ReadingsTable, str]:
    """The table with bare figures, and their unit as head, title or cells state it; asked and empty where none does.

    Parameters
    ----------
    rows : sequence of Row
        All rows of the sheet, its title among them.
    layout : Layout
        Where the head and the columns stand.
    table : ReadingsTable
        The readings as text.
    asked : IntakeAnswers
        Takes the question, and what is told.
    """
    behind = _behind(table, layout)
    bare = _changed(table, (READING,), lambda cell: found[1] if (found := SUFFIX.fullmatch(plain(cell))) else cell)
    answer, stated = asked.given("unit", FORMS), _stated(rows, layout)
    if any(":" in row[READING] for _, row in table.rows):
        asked.tell("unit_clock")
        return bare, "clock"
    stated = behind.pop() if behind else stated
    if answer:
        if stated and stated != answer:
            asked.tell("unit_against", stated=choice_words(stated), answer=choice_words(answer))
        return bare, answer
    if stated and stated != "clock":
        asked.tell("unit_stated", unit=choice_words(stated))
        return bare, stated
    return bare, asked.ask(
        "unit", FORMS[:-1], example=next((row[READING] for _, row in table.rows if row[READING]), "")
    )


def _behind(table: ReadingsTable, layout: Layout) -> set[str]:
    """The unit that stands behind times. Two of them, or another than their own head's, are refused row by row."""
    own = layout.columns.get("reading_s")
    head = unit_in(layout.heads[own]) if own is not None else ""
    cells = [(n, row[READING], found[2]) for n, row in table.rows if (found := SUFFIX.fullmatch(plain(row[READING])))]
    first = head or next((WRITTEN.get(unit, unit) for _, _, unit in cells), "")
    faults = [
        Fault(file=table.file, row=n, column="reading_s", found=cell, expected=f"{choice_words(first)}, as the others")
        for n, cell, unit in cells
        if WRITTEN.get(unit, unit) != first
    ]
    if faults:
        raise StudyError(faults)
    return {WRITTEN.get(unit, unit) for _, _, unit in cells}


def _stated(rows: Sequence[Row], layout: Layout) -> str:
    """Unit in the head of the times, else in any head, else in the rows above."""
    own = layout.columns.get("reading_s")
    heads = [layout.heads[own]] if own is not None else []
    heads += [cell for _, cells in rows[layout.head : layout.head + layout.deep] for cell in cells]
    above = [cell for _, cells in rows[: layout.head] for cell in cells]
    return next((unit for text in (*heads, *above) if (unit := unit_in(text))), "")


def marks_of(table: ReadingsTable, asked: IntakeAnswers) -> dict[str, str] | None:
    """What each letter in the column of marks means; None while one is asked."""
    letters = dict.fromkeys(row[4].strip() for _, row in table.rows)
    unknown = [mark for mark in letters if mark and mark.lower() not in MARKS]
    meaning = {mark: _meaning(mark, asked) for mark in unknown}
    return None if "" in meaning.values() else {m: "" if w == NOTHING else w for m, w in meaning.items()}


def _meaning(mark: str, asked: IntakeAnswers) -> str:
    usual = LETTERS.get(mark.lower(), "")
    order = (*([usual] if usual else []), *(m for m in MARKS if m != usual), NOTHING)
    return asked.ask(f"mark {mark}", order, kind="mark", mark=mark)
