"""The workbook: the answer, and the sheets behind it with live formulas, so that a sceptic may change an input."""

from __future__ import annotations

import io
from typing import Any

from coreset.brief import annex
from coreset.brief.sources_used import sources_used
from coreset.decision.headline import decision, lines
from coreset.lifting.report import sheet as sheet_lifts
from coreset.money.report.input_sources import ranges
from coreset.money.report.model_sheets import write_model
from coreset.money.report.run_sheet import write_runs
from coreset.report.sheets import FORMATS, WorkbookFile, heads
from coreset.study.report import sheet as sheet_standards
from coreset.text import say

OPTIONS = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
LINE_POINTS, LINE_LETTERS = 16, 80
PAPER = {"metric": 9, "us": 1}
"""A4 and letter, as the file format counts them."""


def workbook(assessment: Any) -> bytes:
    """An .xlsx file: decision, cash flow down to its inputs, standards, lifts, printed tables, publications.

    Parameters
    ----------
    assessment : Assessment
        The whole job.

    Returns
    -------
    bytes
        The file. What a user typed is written as text only; marked cells are inputs; figures that follow are formulas.
    """
    import xlsxwriter

    buffer = io.BytesIO()
    file = xlsxwriter.Workbook(buffer, OPTIONS)
    file.set_calc_mode("auto")
    paper = PAPER[assessment.case.units]
    book = WorkbookFile(file=file, paper=paper, formats={name: file.add_format(f) for name, f in FORMATS.items()})
    _write_first(book, assessment)
    if assessment.money is not None:
        money = assessment.money
        methods = (money.baseline, money.candidate)
        beside = ranges(assessment.case, money.base, rates=assessment.line, methods=methods)
        write_runs(book, money, write_model(book, money.base, assessment.case, beside))
    sheet_standards.write_standards(book, assessment)
    tables = sheet_lifts.write_tables(book, assessment.case.units)
    sheet_lifts.write_lifts(book, assessment, tables)
    _write_sources(book, assessment)
    file.close()
    return buffer.getvalue()


def _write_first(book: WorkbookFile, assessment: Any) -> None:
    sheet = book.sheet("first", [92])
    case = assessment.case
    said = [case.title, say("common.invented") if case.invented else "", decision(assessment), *lines(assessment)]
    said += [say("workbook.how"), say("workbook.carried"), say("workbook.as_written"), say("front.safety")]
    for row, words in enumerate(filter(None, said), start=2):
        sheet.write_string(row, 0, words, book.formats["text"])
        sheet.set_row(row, LINE_POINTS * (1 + len(words) // LINE_LETTERS))


def _write_sources(book: WorkbookFile, assessment: Any) -> None:
    sheet = book.sheet("sources", [16, 40, 80, 8, 60, 30, 60])
    heads(book, sheet, 2, "brief.heads.sources")
    for i, row in enumerate(annex.source_rows(sources_used(assessment)), start=3):
        for j, words in enumerate(row):
            sheet.write_string(i, j, words, book.formats["text"])
