"""A sheet of any layout -> one reading a row, under heads of our own, without totals and remarks."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from coreset.store.folder.readings_import import ReadingsTable
from coreset.store.intake.answers import IntakeAnswers
from coreset.store.intake.cells import Row
from coreset.store.intake.layout import VALUE, Layout
from coreset.store.intake.words import CLOCK, RATING, TIME, is_total, part_of, plain

HEADS = ("cycle", "element", "reading_s", "rating", "mark", "note", "seq")
MARKED = re.compile(r"([-+]?[\d.,:]*\d[\d.,:]*)\s*([A-Za-z*+?]{1,2})")
WATCH = "watch"
NAMED_ROWS = 5
"""Rows that are named; of more the number is told."""


def as_list(file: str, rows: Sequence[Row], layout: Layout, *, running: bool, asked: IntakeAnswers) -> ReadingsTable:
    """The readings of a sheet, cells as they were written.

    Parameters
    ----------
    file : str
        What to call the file in a fault.
    rows : sequence of (number, cells)
        All rows of the sheet.
    layout : Layout
        How it is laid out.
    running : bool
        Whether the clock runs on: of a reading and a time side by side the reading is taken, else the time.
    asked : IntakeAnswers
        Takes what is told and asked on the way.

    Returns
    -------
    ReadingsTable
        Heads `HEADS`; in the order in which the work was done, cycle by cycle.
    """
    below = rows[layout.head + layout.deep :]
    if layout.totals:
        asked.tell("totals", names=", ".join(layout.totals))
    kept = _without_totals(below, layout, asked)
    if layout.kind == "list":
        made = list(_listed(kept, layout, asked))
    else:
        part = _part_taken(layout, kept, running=running, asked=asked)
        across = _cycles_across if layout.kind == "cycles_across" else _elements_across
        made = list(across(kept, layout, part))
        made = _used(made, asked) if layout.kind == "cycles_across" else made
    return ReadingsTable(file=file, heads=HEADS, rows=tuple((number, _marked(cells)) for number, cells in made))


def _without_totals(rows: Sequence[Row], layout: Layout, asked: IntakeAnswers) -> list[Row]:
    """Rows without those that follow from others, and without remarks that have no value at all."""
    names = [layout.columns[name] for name in ("element", "cycle") if name in layout.columns]
    places = [i for i, _, _ in layout.across] or [layout.columns["reading_s"]]
    totals, remarks, kept = [], [], []
    for number, cells in rows:
        if any(is_total(_at(cells, place)) for place in names):
            totals.append(number)
        elif not any(_at(cells, place) for place in (*places, *_more(layout))):
            remarks.append(number)
        else:
            kept.append((number, cells))
    if totals:
        asked.tell("total_rows", rows=_rows(totals))
    if remarks:
        asked.tell("remarks", rows=_rows(remarks))
    return kept


def _more(layout: Layout) -> list[int]:
    """Columns that make a row of a list one reading though its time is empty: its cycle, its mark."""
    return [layout.columns[name] for name in ("cycle", "mark") if name in layout.columns] * (layout.kind == "list")


def _rows(numbers: Sequence[int]) -> str:
    shown = ", ".join(map(str, numbers[:NAMED_ROWS]))
    return shown + (" ..." if len(numbers) > NAMED_ROWS else "")


def _at(cells: Sequence[str], place: int | None) -> str:
    return cells[place].strip() if place is not None and place < len(cells) else ""


def _listed(rows: Sequence[Row], layout: Layout, asked: IntakeAnswers) -> Iterator[tuple[int, list[str]]]:
    """Rows of a list; a cycle's number that stands once for several rows is repeated."""
    cycle, repeated = "", 0
    for number, cells in rows:
        made = [_at(cells, layout.columns.get(name)) for name in HEADS]
        if "cycle" in layout.columns:
            repeated += not made[0] and bool(cycle)
            made[0] = cycle = made[0] or cycle
        yield number, made
    if repeated:
        asked.tell("cycles_repeated", count=repeated)


def _part_taken(layout: Layout, rows: Sequence[Row], *, running: bool, asked: IntakeAnswers) -> tuple[str, str]:
    """Which of readings and times side by side is taken, and what a lone R means."""
    stated = {part for _, _, part in layout.across if part}
    if "part" in layout.columns:
        stated |= {_at(cells, layout.columns["part"]) for _, cells in rows}
    parts = {part_of(part): plain(part) for part in stated if part}
    r_means = asked.ask("r_means", (WATCH, RATING)) if parts.get(CLOCK) == "r" and TIME in parts else WATCH
    taken = CLOCK if CLOCK in parts and r_means == WATCH and (running or TIME not in parts) else TIME
    if r_means == WATCH and {CLOCK, TIME} <= parts.keys():
        asked.tell(f"taken_{taken}")
    return taken if parts else "", RATING if r_means == RATING else CLOCK


def _is(part: str, wanted: tuple[str, str]) -> str:
    """Whether a column of that second head is the time taken, the rating, or neither."""
    kind = wanted[1] if plain(part) == "r" else part_of(part)
    return "reading" if kind == wanted[0] or not part else "rating" if kind == RATING else ""


def _cycles_across(rows: Sequence[Row], layout: Layout, part: tuple[str, str]) -> Iterator[tuple[int, list[str]]]:
    named, name = [], ""
    for number, cells in rows:
        name = _at(cells, layout.columns["element"]) or name
        named.append((number, cells, name, _at(cells, layout.columns.get("part"))))
    for cycle in dict.fromkeys(cycle for _, cycle, _ in layout.across):
        places = [(i, second) for i, c, second in layout.across if c == cycle]
        ratings = _ratings(named, places, layout, part)
        for row, (number, cells, name, below) in enumerate(named):
            for i, second in places:
                if _is(second or below, part) == "reading":
                    yield (
                        number,
                        [cycle, name, _at(cells, i), ratings.get(name, "") or ratings.get(str(row), "")] + [""] * 3,
                    )


def _ratings(
    named: Sequence[tuple[int, Sequence[str], str, str]], places: Sequence[tuple[int, str]], layout: Layout,
    part: tuple[str, str],
) -> dict[str, str]:  # fmt: skip
    """Rating by element where it has rows or columns of its own, else by the row's place."""
    found = {str(row): _at(cells, layout.columns.get("rating")) for row, (_, cells, _, _) in enumerate(named)}
    for row, (_, cells, name, below) in enumerate(named):
        for i, second in places:
            if _is(second or below, part) == "rating":
                found[name if below else str(row)] = _at(cells, i)
    return found


def _elements_across(rows: Sequence[Row], layout: Layout, part: tuple[str, str]) -> Iterator[tuple[int, list[str]]]:
    for number, cells in rows:
        cycle, note = _at(cells, layout.columns["cycle"]), _at(cells, layout.columns.get("note"))
        own = {head: _at(cells, i) for i, head, second in layout.across if _is(second, part) == "rating"}
        for i, head, second in layout.across:
            if _is(second, part) == "reading":
                rating = own.get(head) or _at(cells, layout.columns.get("rating"))
                yield number, [cycle, head, _at(cells, i), rating, "", note, ""]


def _used(made: list[tuple[int, list[str]]], asked: IntakeAnswers) -> list[tuple[int, list[str]]]:
    """Readings of the cycles that were filled in: a form has more columns than a study has cycles."""
    used = {cells[0] for _, cells in made if cells[2]}
    left = dict.fromkeys(cells[0] for _, cells in made if cells[0] not in used)
    if left:
        asked.tell("cycles_unused", count=len(left))
    return [one for one in made if one[1][0] in used]


def _marked(cells: Sequence[str]) -> tuple[str, ...]:
    """A reading with letters behind it or in its place, the letters put into the column of marks."""
    reading, mark = cells[2], cells[4]
    if not mark and reading and not VALUE.fullmatch(reading):
        found = MARKED.fullmatch(reading)
        reading, mark = (found[1], found[2]) if found else ("", reading) if len(reading) <= 2 else (reading, "")
    return (cells[0], " ".join(cells[1].split()), reading, cells[3], mark, *cells[5:])
