"""Sheet of the standards: seconds, frequency, rating and allowance of each element as inputs, the rest as formulas."""

from __future__ import annotations

import math
from typing import Any

from coreset.report.sheets import Book, heads
from coreset.text import say

SHIFT = "shift"


def write_standards(book: Book, assessment: Any) -> None:
    """A block of rows a study, its sum under it and named; nothing where no study has elements."""
    studies = [row for row in assessment.standards if row.elements]
    if not studies:
        return
    sheet = book.sheet("standards", [12, 10, 12, 28, 10, *[11] * 6, 9, 12, 10, 10, 32])
    heads(book, sheet, 2, "workbook.heads.standards")
    sheet.write_string(1, 0, say("workbook.standards_note"), book.formats["aside"])
    sheet.freeze_panes(3, 4)
    row = 3
    for found in studies:
        first = row
        for element in found.elements:
            _write_element(book, sheet, row, found, element)
            row += 1
        _write_sum(book, sheet, row, first, found)
        row += 2


def _write_element(book: Book, sheet: Any, row: int, found: Any, element: Any) -> None:
    """One element: its observed time for one mold, rated and with its allowance."""
    words = (found.study, found.pattern, found.method, element.element, element.kind)
    for column, text in enumerate(words):
        sheet.write_string(row, column, text)
    rating = 100 * element.normal_s / element.observed_s if element.observed_s else 100.0
    inputs = (element.mean_s, element.per_mold, rating, element.allowance_pct)
    for column, value in zip((5, 6, 8, 10), inputs, strict=True):
        sheet.write_number(row, column, value if math.isfinite(value) else 0.0, book.formats["input_fine"])
    n = row + 1
    sheet.write_formula(row, 7, f"=F{n}*G{n}", book.formats["number"], element.observed_s)
    sheet.write_formula(row, 9, f"=H{n}*I{n}/100", book.formats["number"], element.normal_s)
    sheet.write_string(row, 11, found.allowance_basis, book.formats["input_text"])
    formula = f'=IF(L{n}="{SHIFT}",J{n}/(1-K{n}/100),J{n}*(1+K{n}/100))'
    sheet.write_formula(row, 12, formula, book.formats["number"], element.standard_s)


def _write_sum(book: Book, sheet: Any, row: int, first: int, found: Any) -> None:
    sheet.write_string(row, 0, found.study, book.formats["head"])
    for column, value in ((7, found.observed_s), (9, found.normal_s), (12, found.standard_s)):
        letter = chr(ord("A") + column)
        sheet.write_formula(row, column, f"=SUM({letter}{first + 1}:{letter}{row})", book.formats["strong"], value)
    book.name(f"standard_{found.study}", sheet, row, 12)
    for column, value in ((13, found.standard_low_s), (14, found.standard_high_s)):
        sheet.write_number(row, column, value, book.formats["number"])
    sheet.write_string(row, 15, say("workbook.interval_standard"), book.formats["aside"])
