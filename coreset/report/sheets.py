"""What every sheet of the workbook shares: marked inputs, formats, text that can never be taken for a formula."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Any

from coreset.text import say

PAPER, INPUT, INK, MUTED, ACCENT = "#fafbf9", "#eef1e2", "#22262a", "#5d6369", "#4f5b1d"
LINE = {"bg_color": INPUT, "bottom": 1, "bottom_color": ACCENT}
"""What is to be filled in stands on a tinted line, as on a form."""
HEAD_POINTS = 30
NAME = re.compile(r"[^A-Za-z0-9_]")
FORMATS = {
    "title": {"bold": True, "font_size": 14},
    "text": {"text_wrap": True, "valign": "top"},
    "head": {"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"},
    "head_number": {"bold": True, "bottom": 1, "text_wrap": True, "valign": "top", "align": "right"},
    "label": {"valign": "top", "align": "left", "indent": 1},
    "input": {**LINE, "num_format": "General"},
    "input_fine": {**LINE, "num_format": "0.000"},
    "input_text": {"align": "left", "indent": 1, **LINE},
    "number": {"num_format": "#,##0.00"},
    "fine": {"num_format": "0.0000"},
    "amount": {"num_format": "#,##0"},
    "amount_input": {**LINE, "num_format": "#,##0"},
    "percent": {"num_format": "0.0%"},
    "strong": {"bold": True, "num_format": "#,##0.00", "top": 1},
    "strong_amount": {"bold": True, "num_format": "#,##0", "top": 1},
    "aside": {"align": "left", "indent": 1, "font_color": MUTED, "italic": True},
    "quiet": {"align": "left", "indent": 1, "font_color": MUTED},
    "written_amount": {"num_format": "#,##0", "italic": True, "font_color": MUTED},
    "written_number": {"num_format": "#,##0.00", "italic": True, "font_color": MUTED},
    "written_percent": {"num_format": "0.0%", "italic": True, "font_color": MUTED},
    "note": {"font_color": MUTED, "italic": True, "text_wrap": True, "valign": "top"},
}


@dataclass(slots=True, kw_only=True)
class WorkbookFile:
    """A workbook being written: its file, its formats, the names given to cells so far, its paper (9 is A4)."""

    file: Any
    formats: dict[str, Any] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)
    paper: int = 9

    def sheet(self, key: str, widths: Sequence[float] = ()) -> Any:
        """A new sheet with its title and column widths."""
        found = self.file.add_worksheet(say(f"workbook.sheet.{key}"))
        found.hide_gridlines(2)
        found.set_landscape()
        found.set_paper(self.paper)
        found.fit_to_pages(1, 0)
        for i, width in enumerate(widths):
            found.set_column(i, i, width)
        found.write_string(0, 0, say(f"workbook.title.{key}"), self.formats["title"])
        return found

    def name(self, wanted: str, sheet: Any, row: int, column: int) -> str:
        """Give a cell a name that a formula may use; the name."""
        from xlsxwriter.utility import xl_rowcol_to_cell

        name = unused(wanted, self.names)
        self.names.add(name.lower())
        cell = xl_rowcol_to_cell(row, column, row_abs=True, col_abs=True)
        self.file.define_name(name, f"='{sheet.get_name()}'!{cell}")
        return name


def unused(wanted: str, taken: set[str]) -> str:
    """A legal name for a cell that no other cell has.

    Examples
    --------
    >>> unused("rate 1/h", set()), unused("x", {"x_"}), unused("x", set())
    ('rate_1_h_', 'x_2_', 'x_')
    """
    stem = NAME.sub("_", wanted).strip("_") or "cell"
    stem = stem if stem[0].isalpha() else f"n_{stem}"
    name, count = f"{stem}_", 2
    while name.lower() in taken:
        name, count = f"{stem}_{count}_", count + 1
    return name


def heads(
    book: WorkbookFile, sheet: Any, row: int, words: str, *, numbers: Collection[int] = (), **blanks: str
) -> None:
    """A row of column heads, high enough for two lines; those over columns of `numbers` stand at the right.

    Parameters
    ----------
    book : WorkbookFile
        Workbook with its formats.
    sheet : worksheet
        Sheet to write on.
    row : int
        Row, from 0.
    words : str
        Key of the heads, parted by bars.
    numbers : collection of int
        Columns of numbers.
    **blanks : str
        What fills the blanks of the heads.
    """
    sheet.set_row(row, HEAD_POINTS)
    for column, word in enumerate(say(words, **blanks).split("|")):
        look = "head_number" if column in numbers else "head"
        sheet.write_string(row, column, word.strip(), book.formats[look])
