"""Below the results of the workbook: what the simulation runs found, as written, and its gap to the base case."""

from __future__ import annotations

import math
from typing import Any

from coreset.figures import layout as places
from coreset.figures.layout import SheetLayout
from coreset.money.report.base_figures import baseline
from coreset.money.report.model_sheets import WIDEST
from coreset.report.numbers import styled
from coreset.report.sheets import HEAD_POINTS, WorkbookFile, heads
from coreset.text import say


def write_runs(book: WorkbookFile, money: Any, plan: SheetLayout) -> None:
    """Below the results what the simulation found: as written, for a sheet cannot redo it.

    Parameters
    ----------
    book : WorkbookFile
        Workbook with its formats.
    money : Decision
        Results of the simulation.
    plan : SheetLayout
        Where each figure stands.
    """
    sheet = book.file.get_worksheet_by_name(plan.title(places.RESULTS))
    row = 3 + max(place.row for place in plan.places.values() if place.sheet == places.RESULTS)
    heads(book, sheet, row, "workbook.heads.runs", numbers=(1, 2, 3))
    rows = (
        ("npv_of_runs", money.npv, money.npv_spread, "amount"),
        ("payback_of_runs", money.payback_years, money.payback_spread, "number"),
        ("discounted_payback_of_runs", money.discounted_payback_years, money.discounted_payback_spread, "number"),
        ("chance_npv_positive", money.chance_npv_positive, None, "percent"),
        ("chance_payback", money.chance_payback, None, "percent"),
    )
    if money.needs:
        words = say("brief.figure.if_allowed", what=say("workbook.title.results"))
        sheet.write_string(2, 0, words, book.formats["title"])
    for at, (name, value, spread, look) in enumerate(rows, start=row + 1):
        sheet.write_string(at, 0, say(f"workbook.run.{name}", years=money.payback_limit_years))
        ends = (spread.low, spread.high) if spread else ()
        for column, number in enumerate((value, *ends), start=1):
            told = number if math.isfinite(number) else say("front.number.never")
            sheet.write(at, column, told, book.formats[f"written_{look}"])
        book.name(name, sheet, at, 1)
    words, last = styled(baseline(money), money.case), WIDEST[places.RESULTS]
    sheet.merge_range(at + 1, 0, at + 1, last, words, book.formats["note"])
    sheet.set_row(at + 1, HEAD_POINTS)
    sheet.print_area(0, 0, at + 1, last)
    sheet.fit_to_pages(1, 1)
