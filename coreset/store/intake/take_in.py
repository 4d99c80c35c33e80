"""A sheet of readings as somebody has it -> readings of a study, with what was guessed and what must be answered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from coreset.case import Reading, Readings
from coreset.errors import Fault, StudyError
from coreset.store.folder.readings_import import Form, Reader, ReadingsTable, clock_seconds, readings_from
from coreset.store.intake import doubts
from coreset.store.intake.answers import IntakeAnswers, Question, Told
from coreset.store.intake.as_list import HEADS, as_list
from coreset.store.intake.cells import Row, grids
from coreset.store.intake.layout import Kind, Layout, fullest, layout_of
from coreset.store.intake.written import decimal_of, marks_of, plain_points, unit_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Intake:
    """What a sheet holds: `readings` as far as they can be read, complete only where `questions` is empty."""

    sheet: str
    sheets: tuple[str, ...]
    head_row: int
    kind: Kind
    readings: Readings
    timing: str
    told: tuple[Told, ...] = ()
    questions: tuple[Question, ...] = ()
    heads: tuple[str, ...] = ()
    columns: Mapping[str, str] = field(default_factory=dict)
    """Head by field where one reading stands in a row."""


def take_in(
    name: str,
    content: bytes,
    *,
    timing: str = "continuous",
    answers: Mapping[str, str] | None = None,
    known: Mapping[str, float] | None = None,
) -> Intake:
    """Read a sheet of any usual form.

    Parameters
    ----------
    name : str
        Name of the file; one that ends in .xlsx is a workbook, any other is text.
    content : bytes
        The file.
    timing : {"continuous", "snapback"}
        How the study was timed, by its header.
    answers : mapping of str to str
        Answers to questions by their code; besides them `sheet`, `head_row`, `column <field>` with the head of that
        field's column, and `start` (clock at the start of the first element, h:mm:ss or seconds).
    known : mapping of str to float
        Mean time of elements timed before. [s]

    Returns
    -------
    Intake
        Nothing may be kept while it has questions.

    Raises
    ------
    StudyError
        If the file cannot be read, no head is found, or cells hold what no reading is: row, column, found, expected.
    """
    asked = IntakeAnswers(answers or {})
    chosen = answers or {}
    all_rows = grids(name, content, asked)
    sheet, rows, layout = _place(name, all_rows, chosen)
    if len(all_rows) > 1:
        asked.tell("sheet", sheet=sheet, others=", ".join(one for one in all_rows if one != sheet))
    table = as_list(name, rows, layout, running=timing == "continuous", asked=asked)
    found, timing = _read(table, rows, layout, timing, chosen, asked)
    if not asked.questions:
        doubts.numbered(found, asked)
        doubts.sensible(found, timing, known or {}, asked)
    return Intake(
        sheet=sheet, sheets=tuple(all_rows), head_row=rows[layout.head][0], kind=layout.kind, timing=timing,
        readings=doubts.renumbered(found), told=tuple(asked.told), questions=tuple(asked.questions),
        heads=layout.heads,
        columns={n: layout.heads[i] for n, i in layout.columns.items()} if layout.kind == "list" else {},
    )  # fmt: skip


def heads_in(name: str, content: bytes, answers: Mapping[str, str]) -> tuple[int, tuple[str, ...]]:
    """The row that is, or is likeliest, the head of a sheet in which none could be made out, and its cells.

    Parameters
    ----------
    name : str
        Of the file; its ending tells a workbook.
    content : bytes
        The file.
    answers : mapping
        What was answered so far, by question: here the sheet and the row.

    Returns
    -------
    row : int
        As a spreadsheet counts, from 1.
    cells : tuple of str
        Those of that row in which anything stands.
    """
    all_rows = grids(name, content, IntakeAnswers({}))
    rows = all_rows.get(answers.get("sheet", ""), next(iter(all_rows.values())))
    stated = answers.get("head_row", "")
    number = int(stated) if stated.isdigit() else fullest(rows)
    return number, tuple(filter(None, (cell.strip() for cell in dict(rows).get(number, ()))))


def _place(
    name: str, all_rows: Mapping[str, Sequence[Row]], chosen: Mapping[str, str]
) -> tuple[str, Sequence[Row], Layout]:
    """The sheet that is read, its rows and its layout."""
    head = int(chosen["head_row"]) if chosen.get("head_row", "").isdigit() else None
    stated = {code.removeprefix("column "): head for code, head in chosen.items() if code.startswith("column ")}
    for sheet in [chosen["sheet"]] if chosen.get("sheet") in all_rows else list(all_rows):
        if layout := layout_of(all_rows[sheet], head_row=head, stated=stated):
            return sheet, all_rows[sheet], layout
    expected = "a head with an element and a reading, or elements and numbered cycles side by side, in the first rows"
    raise StudyError([Fault(file=name, row=head, found="no head that can be read", expected=expected)])


def _read(
    table: ReadingsTable,
    rows: Sequence[Row],
    layout: Layout,
    timing: str,
    chosen: Mapping[str, str],
    asked: IntakeAnswers,
) -> tuple[list[Reading], str]:
    """Readings as written and put right by the answers; none before decimal sign, unit and marks are known."""
    table, form = unit_of(rows, layout, table, asked)
    decimal, marks = decimal_of(table, asked), marks_of(table, asked)
    if not form or not decimal or marks is None:
        return [], timing
    found = list(readings_from(_columns_filled(plain_points(table, decimal)), _reader(table, form, marks)))
    found = doubts.repeated(doubts.filled(doubts.rated(found, asked), asked), asked)
    found, timing = doubts.in_time(found, timing, asked)
    return doubts.started(found, timing, _start(chosen), asked), timing


def _columns_filled(table: ReadingsTable) -> ReadingsTable:
    """The table without columns in which nothing stands, so that cycles and sequence are counted."""
    kept = [i for i, head in enumerate(HEADS) if head in HEADS[1:3] or any(row[i] for _, row in table.rows)]
    rows = tuple((number, tuple(row[i] for i in kept)) for number, row in table.rows)
    return replace(table, heads=tuple(HEADS[i] for i in kept), rows=rows)


def _reader(table: ReadingsTable, form: str, marks: Mapping[str, str]) -> Reader:
    forms: dict[str, Form] = {"s": "s", "min": "min", "cmin": "cmin", "clock": "clock"}
    return Reader(columns={head: head for head in table.heads}, form=forms[form], marks=marks)


def _start(chosen: Mapping[str, str]) -> float | None:
    try:
        return clock_seconds(chosen["start"], form="clock") if chosen.get("start") else None
    except ValueError:
        return None
