"""Sheets of the cash flow: every input with its name and source, every figure as a formula down to the inputs."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import numpy as np
from xlsxwriter.utility import xl_rowcol_to_cell

from coreset.case import Range
from coreset.case.growth import growth_input
from coreset.figures import layout as places
from coreset.figures.layout import FIRST_ROW, FIRST_TIME, SheetLayout, layout
from coreset.figures.sheet import SheetCell, cells
from coreset.money.base_case import BaseCase
from coreset.money.figures import MODEL
from coreset.money.inputs import FINANCING, LINE, OF_METHODS, OF_ROOMS, SETTER, SOME_YEARS
from coreset.money.report.input_sources import source
from coreset.report.sheets import ACCENT, HEAD_POINTS, INPUT, MUTED, WorkbookFile, heads
from coreset.text import message, say

MEASURES = ("npv", "irr", "payback_years", "discounted_payback_years", "first_cost", "saving_year_1", "equity_npv")
RESULTS = (*MEASURES, *MODEL.kinds["capital"], *MODEL.kinds["expensed"])
"""Single figures that stand first among the results."""
SECTIONS = {
    "years": "prices",
    next(iter(LINE)): "line",
    next(iter(SETTER)): "setter",
    OF_METHODS[0].key: "methods",
    **dict.fromkeys([each.key for each in OF_ROOMS if not each.axes][:1], "carried"),
    next(iter(SOME_YEARS)): "single_years",
    next(iter(FINANCING)): "financing",
    "minutes_per_hour": "constants",
    growth_input("labour"): "growth",
}
"""Single inputs that begin a section of the sheet of inputs, and the section's name."""
STRONG = {"operating_total", "net", "project_flow", "cumulative_flow", "equity_flow", *MEASURES}
SHARE = re.compile(r"_(rate|share|later|inflation|growth|premium|paid)$|^(irr|exposure_removed|scrap_saved)$")
LOOKS = {
    "amount": '#,##0;-#,##0;"–"',
    "price": "#,##0.00##",
    "percent": "0.0##%",
    "plain": "General",
    "fine": "0.0000",
    "finest": "0.000000",
    "count": '#,##0.0;-#,##0.0;"–"',
    "number": "#,##0.00",
}
OF_UNIT = {
    "currency": "amount",
    "currency/year": "amount",
    "mold/year": "amount",
    "mold": "amount",
    "hour/year": "count",
    "hour*person/year": "count",
    "hour/mold": "finest",
    "hour*person/mold": "finest",
    "mold/hour": "number",
}
"""Number formats of values in some units; prices and plain numbers have their own rule."""
ROLES = {
    "": {},
    "input": {"bg_color": INPUT, "bottom": 1, "bottom_color": ACCENT},
    "carried": {"italic": True, "font_color": MUTED},
    "strong": {"bold": True, "top": 1},
    "bold": {"bold": True},
}
WIDTHS = {
    places.INPUTS: [58, 14, 16, 13, 13, 13, 34, 60],
    places.RESULTS: [58, 18, 16, 18, 28],
    places.PATTERNS: [14, *[15] * 12],
    places.PAIRS: [60, *[12] * 12],
}
YEARLY_WIDTHS = [54, 15, 27, 13]
WIDEST = {places.INPUTS: 7, places.RESULTS: 4, places.PAIRS: 0}
"""Last columns of words beside the values; of pairs, those of values."""
NUMBERS = {places.INPUTS: (1, 3, 4, 5), places.RESULTS: (1, 3)}
"""Columns of numbers, whose heads stand at the right."""
YEARLY = {places.INPUT_YEARS, places.CASH, places.HOURS, places.PATTERN_YEARS}


def write_model(book: WorkbookFile, base: BaseCase, case: Any, ranges: Mapping[str, Range]) -> SheetLayout:
    """Write the whole cash flow as sheets.

    Parameters
    ----------
    book : WorkbookFile
        The workbook that is being written.
    base : BaseCase
        Inputs at fixed values.
    case : Case
        Currency and sources.
    ranges : mapping
        Low, likely and high beside an input, by the name of its cell.

    Returns
    -------
    SheetLayout
        Where everything stands.
    """
    titles = {key: say(f"workbook.sheet.{key}") for key in places.SHEETS}
    plan = layout(MODEL, base.patterns, base.years, sections=SECTIONS, results=RESULTS, titles=titles)
    _Writer(book=book, plan=plan, base=base, case=case, ranges=ranges).write()
    return plan


class _Writer:
    """The sheets of one model being written."""

    def __init__(
        self, *, book: WorkbookFile, plan: SheetLayout, base: BaseCase, case: Any, ranges: Mapping[str, Range]
    ) -> None:
        self.book, self.plan, self.base, self.case, self.ranges = book, plan, base, case, ranges
        widths = {key: WIDTHS.get(key, [*YEARLY_WIDTHS, *[12] * base.years]) for key in places.SHEETS}
        self.sheets, self.values = {key: book.sheet(key, widths[key]) for key in places.SHEETS}, base.values
        self.last = dict.fromkeys(places.SHEETS, (FIRST_ROW, 1))

    def write(self) -> None:
        """Heads, headings, cells, and what stands around them; then what is printed of each sheet."""
        for key in places.SHEETS:
            self._heads(key)
        for (sheet, row), key in self.plan.headings.items():
            self._heading(sheet, row, key)
        for cell in cells(self.plan, self.values):
            self._cell(cell)
        for key in places.SHEETS:
            self._paper(key)

    def _heads(self, key: str) -> None:
        sheet = self.sheets[key]
        sheet.write_string(1, 0, say(f"workbook.note.{key}"), self.book.formats["aside"])
        if key == places.INPUTS:
            sheet.write_string(2, 0, say("workbook.note.input_cell"), self._format("plain", "input"))
            sheet.write_string(3, 0, say("workbook.note.carried_cell"), self._format("plain", "carried"))
        if key in YEARLY:
            heads(self.book, sheet, FIRST_ROW - 1, "workbook.heads.yearly")
            for time in range(self.plan.years + 1):
                sheet.write_number(FIRST_ROW - 1, FIRST_TIME + time, time, self.book.formats["head"])
            sheet.freeze_panes(FIRST_ROW, FIRST_TIME)
        elif key == places.PATTERNS:
            sheet.set_row(FIRST_ROW - 2, 62)
            sheet.write_string(FIRST_ROW - 1, 0, say("workbook.pattern"), self.book.formats["head"])
            sheet.freeze_panes(FIRST_ROW, 1)
        elif key != places.PAIRS:
            heads(self.book, sheet, FIRST_ROW - 1, f"workbook.heads.{key}", numbers=NUMBERS[key])
            sheet.freeze_panes(FIRST_ROW, 1)

    def _heading(self, name: str, row: int, key: str) -> None:
        """A section of single values, or the name of a block with its years or patterns across."""
        sheet, axes, head = self.sheets[name], MODEL.axes.get(key, frozenset()), self.book.formats["head"]
        words = message(MODEL.label(key)) if axes else say(f"workbook.section.{SECTIONS.get(key, 'figures')}")
        for column in range(1, 1 + WIDEST.get(name, FIRST_TIME + self.plan.years)):
            sheet.write_blank(row, column, None, head)
        sheet.write_string(row, 0, words, head)
        for i, code in enumerate(self.plan.codes if "q" in axes else ()):
            sheet.write_string(row, 1 + i, code, self.book.formats["head_number"])

    def _cell(self, cell: SheetCell) -> None:
        sheet, role = self.sheets[cell.sheet], self._role(cell)
        look = self._format(self._look(cell.key), role)
        if cell.formula:
            sheet.write_formula(cell.row, cell.column, cell.formula, look, cell.value)
        elif isinstance(cell.value, str):
            sheet.write_string(cell.row, cell.column, cell.value, look)
        else:
            sheet.write_number(cell.row, cell.column, cell.value, look)
        if cell.name:
            at = xl_rowcol_to_cell(cell.row, cell.column, row_abs=True, col_abs=True)
            self.book.file.define_name(cell.name, f"='{sheet.get_name()}'!{at}")
            self.book.names.add(cell.name.lower())
        row, column = self.last[cell.sheet]
        self.last[cell.sheet] = (max(row, cell.row), max(column, cell.column))
        self._around(cell)

    def _around(self, cell: SheetCell) -> None:
        """Meaning, unit, range, name and source at the sides of a cell."""
        place, sheet = self.plan.places[cell.key], self.sheets[cell.sheet]
        axes = MODEL.axes.get(cell.key, frozenset())
        code = self.plan.codes[cell.row - place.row] if "p" in axes else ""
        if cell.sheet == places.PATTERNS:
            if cell.row == FIRST_ROW:
                words = message(MODEL.label(cell.key))
                sheet.write_string(FIRST_ROW - 2, cell.column, words, self.book.formats["head"])
                sheet.write_string(FIRST_ROW - 1, cell.column, self._unit(cell.key), self.book.formats["head"])
            sheet.write_string(cell.row, 0, code)
        elif cell.sheet == places.PAIRS:
            sheet.write_string(cell.row, 0, code)
        elif cell.sheet == places.INPUTS:
            self._about_input(cell, code)
        elif cell.sheet == places.RESULTS:
            self._about_result(cell)
        elif cell.column in {FIRST_TIME, FIRST_TIME + 1}:
            three = (code or message(MODEL.label(cell.key)), self._unit(cell.key), cell.key)
            for column, text in enumerate(three):
                sheet.write_string(cell.row, column, text, self.book.formats["quiet"] if column else None)

    def _about_input(self, cell: SheetCell, code: str) -> None:
        sheet, key, quiet = self.sheets[cell.sheet], cell.key, self.book.formats["quiet"]
        label = message(MODEL.label(key)) if key in MODEL.inputs else say("workbook.years")
        words = say("workbook.of_pattern", pattern=code, what=label) if code else label
        sheet.write_string(cell.row, 0, words, self.book.formats["text"])
        if len(words) > WIDTHS[places.INPUTS][0]:
            sheet.set_row(cell.row, HEAD_POINTS)
        sheet.write_string(cell.row, 2, self._unit(key), quiet)
        figure = self.ranges.get(cell.name)
        if figure is not None:
            for column, value in enumerate((figure.low, figure.likely, figure.high), start=3):
                sheet.write_number(cell.row, column, value, self._format(self._look(key), ""))
        sheet.write_string(cell.row, 6, cell.name, quiet)
        sheet.write_string(cell.row, 7, source(key, figure, self.case, self.base), quiet)
        if key == "moved":
            sheet.data_validation(cell.row, 1, cell.row, 1, {"validate": "list", "source": [0, 1]})

    def _about_result(self, cell: SheetCell) -> None:
        sheet, quiet = self.sheets[cell.sheet], self.book.formats["quiet"]
        sheet.write_string(cell.row, 0, message(MODEL.label(cell.key)))
        sheet.write_string(cell.row, 2, self._unit(cell.key), quiet)
        sheet.write(cell.row, 3, cell.value, self._format(self._look(cell.key), "carried"))
        sheet.write_string(cell.row, 4, cell.name, quiet)

    def _paper(self, key: str) -> None:
        """What is printed: the filled part, heads on every page, page numbers."""
        sheet, (row, column) = self.sheets[key], self.last[key]
        sheet.print_area(0, 0, row, WIDEST.get(key) or column)
        sheet.repeat_rows(FIRST_ROW - 2 if key == places.PATTERNS else FIRST_ROW - 1, FIRST_ROW - 1)
        sheet.set_footer("&L&A&R&P / &N")

    def _role(self, cell: SheetCell) -> str:
        if cell.key in MODEL.inputs:
            each = MODEL.inputs[cell.key]
            return "carried" if each.carried or each.constant else "input"
        if cell.key == "years":
            return "carried"
        bold = "bold" if cell.sheet == places.RESULTS else "strong"
        return bold if cell.key in STRONG else ""

    def _look(self, key: str) -> str:
        """Number format of a key: by its unit; a plain number by its meaning."""
        if key == "years":
            return "plain"
        unit = MODEL.unit(key)
        if unit == "1" and SHARE.search(key):
            return "percent"
        if unit in OF_UNIT or unit.startswith(places.MONEY):
            return OF_UNIT.get(unit, "price")
        value = self.values[key][np.isfinite(self.values[key])]
        whole = (value == np.round(value)).all() and key not in MEASURES
        return "plain" if whole else "number" if key in MEASURES else "fine"

    def _unit(self, key: str) -> str:
        if key == "years" or key.endswith(("_years", "back_in", "discounted_in")):
            return say("workbook.unit.years")
        unit = re.sub(r"[^A-Za-z0-9]+", "_", MODEL.unit(key))
        return "" if unit == "1" else say(f"workbook.unit.{unit}", currency=self.case.currency)

    def _format(self, look: str, role: str) -> Any:
        name = f"model_{look}_{role}"
        if name not in self.book.formats:
            self.book.formats[name] = self.book.file.add_format({"num_format": LOOKS[look], **ROLES[role]})
        return self.book.formats[name]
