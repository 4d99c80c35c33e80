"""Sheets of the money: levers as marked inputs, the cash flow that follows them, and its measures as live formulas."""

from __future__ import annotations

import math
from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell as cell

from coreset.case import Money, Range, meaning
from coreset.money.report.names import input_unit, item_name
from coreset.report.sheets import WorkbookFile, heads
from coreset.text import say

LEVERS = {
    "setter": ("setter_price",),
    "installation": ("installation",),
    "training": ("training",),
    "masks": ("mask_cost",),
    "mask_replacement": ("mask_cost",),
    "mask_repair": ("mask_repair_per_year",),
    "labour": ("wage_per_h", "employer_factor"),
    "overtime": ("wage_per_h", "employer_factor"),
    "mask_changes": ("wage_per_h", "employer_factor"),
    "ramp_up": ("wage_per_h", "employer_factor"),
    "maintenance": ("maintenance_per_year",),
    "air": ("air_per_m3",),
    "electricity": ("electricity_per_kwh",),
    "floor_space": ("floor_space_per_year",),
    "residual": ("residual",),
    "injury": ("injury_cost_per_year",),
}
"""Inputs that an item of the cash flow is proportional to; every other item has a factor of its own."""
TAX = "tax"
FIRST_YEAR_COLUMN = 2


def write_cash(book: WorkbookFile, assessment: Any) -> None:
    """The sheets of inputs and cash flow; nothing where there is no money."""
    money = assessment.money
    if money is None:
        return
    items = list(dict.fromkeys(name for year in money.cash_flow for name in year.parts))
    ratios = _write_levers(book, assessment, [name for name in items if name != TAX])
    sheet = book.sheet("cash", [34, 16, *[12] * (money.years + 1)])
    heads(book, sheet, 2, "workbook.heads.cash", currency=assessment.case.currency)
    for year in range(money.years + 1):
        sheet.write_number(2, FIRST_YEAR_COLUMN + year, year, book.formats["head"])
    sheet.freeze_panes(3, 2)
    base = 3 + len(items) + 12
    sheet.write_string(base - 1, 0, say("workbook.as_reckoned"), book.formats["head"])
    for i, name in enumerate(items):
        _write_item(book, sheet, (3 + i, base + i), name, money, ratios)
    _write_tax(book, sheet, items, base, money, assessment.case.money.tax_rate)
    _write_totals(book, sheet, 3 + len(items), money)
    sheet.write_string(1, 0, say("workbook.cash_note"), book.formats["aside"])


def _write_levers(book: WorkbookFile, assessment: Any, items: list[str]) -> dict[str, str]:
    """Marked inputs and, by item, the ratio that its flow is multiplied by."""
    case = assessment.case
    sheet = book.sheet("inputs", [62, 14, 14, 10, 44])
    heads(book, sheet, 2, "workbook.heads.inputs", currency=case.currency)
    row = 3
    sheet.write_string(row, 0, meaning(Money, "discount_rate"))
    sheet.write_number(row, 1, assessment.money.discount_rate, book.formats["input"])
    discount = book.name("discount_rate", sheet, row, 1)
    ratios = {"": discount}
    for name in dict.fromkeys(lever for item in items for lever in LEVERS.get(item, ())):
        row += 1
        figure: Range = getattr(case.money, name)
        ratios[name] = _write_lever(book, sheet, row, (_named(name, case.currency), name), figure.likely, figure.source)
    for name in items:
        if not set(LEVERS.get(name, ())) & set(ratios):
            row += 1
            words = say("workbook.share_of", item=item_name(name))
            ratios[name] = _write_lever(book, sheet, row, (words, f"share_{name}"), 1.0, say("workbook.share_source"))
    return ratios


def _named(name: str, currency: str) -> str:
    return say("workbook.with_unit", what=meaning(Money, name), unit=input_unit(name, currency))


def _write_lever(book: WorkbookFile, sheet: Any, row: int, said: tuple[str, str], value: float, source: str) -> str:
    words, name = said
    sheet.write_string(row, 0, words)
    sheet.write_number(row, 1, value, book.formats["input"])
    sheet.write_number(row, 2, value)
    sheet.write_formula(row, 3, f"=IF(C{row + 1}=0,1,B{row + 1}/C{row + 1})", book.formats["fine"], 1.0)
    sheet.write_string(row, 4, source, book.formats["label"])
    book.name(name, sheet, row, 1)
    return book.name(f"{name}_ratio", sheet, row, 3)


def _write_item(
    book: WorkbookFile, sheet: Any, rows: tuple[int, int], name: str, money: Any, ratios: dict[str, str]
) -> None:
    """One item by year: as reckoned below, times its ratio above."""
    row, base = rows
    levers = [ratios[lever] for lever in LEVERS.get(name, (name,)) if lever in ratios] or [ratios.get(name, "1")]
    sheet.write_string(row, 0, item_name(name))
    sheet.write_string(base, 0, item_name(name))
    for year, flow in enumerate(money.cash_flow):
        value, column = flow.parts.get(name, 0.0), FIRST_YEAR_COLUMN + year
        sheet.write_number(base, column, value, book.formats["amount"])
        formula = f"={cell(base, column)}*{'*'.join(levers)}"
        sheet.write_formula(row, column, formula, book.formats["amount"], value)


def _write_tax(book: WorkbookFile, sheet: Any, items: list[str], base: int, money: Any, rate: float) -> None:
    """Tax follows what the levers change of the running items; write-offs stay as reckoned."""
    if TAX not in items:
        return
    at = items.index(TAX)
    others = [i for i, name in enumerate(items) if name not in {TAX, "residual"}]
    for year, flow in enumerate(money.cash_flow):
        column = FIRST_YEAR_COLUMN + year
        changed = "+".join(f"{cell(3 + i, column)}-{cell(base + i, column)}" for i in others)
        formula = f"={cell(base + at, column)}-{rate!r}*({changed})" if year else f"={cell(base + at, column)}"
        sheet.write_formula(3 + at, column, formula, book.formats["amount"], flow.parts.get(TAX, 0.0))


def _write_totals(book: WorkbookFile, sheet: Any, row: int, money: Any) -> None:
    """Total, cumulated, discounted and both paybacks by year, then the measures."""
    first, last = FIRST_YEAR_COLUMN, FIRST_YEAR_COLUMN + money.years
    for offset, key in enumerate(
        ("total", "cumulated", "discounted", "cumulated_discounted", "back", "back_discounted")
    ):
        sheet.write_string(row + offset, 0, say(f"workbook.row.{key}"))
    for year, flow in enumerate(money.cash_flow):
        at = first + year
        total, cumulated, discounted, both = (cell(row + i, at) for i in range(4))
        sheet.write_formula(
            row, at, f"=SUM({cell(3, at)}:{cell(row - 1, at)})", book.formats["strong_amount"], flow.total
        )
        _cumulate(sheet, (row, at), year, book, flow.cumulative)
        present = f"={total}/(1+discount_rate_)^{cell(2, at)}"
        worth = flow.discounted_cumulative - (money.cash_flow[year - 1].discounted_cumulative if year else 0.0)
        sheet.write_formula(row + 2, at, present, book.formats["amount"], worth)
        _cumulate(sheet, (row + 2, at), year, book, flow.discounted_cumulative)
        for gap in (0, 2):
            _write_crossing(sheet, (row + 4 + gap // 2, at), (row + gap, at), year, book)
    span = {i: f"{cell(row + i, first, row_abs=True)}:{cell(row + i, last, row_abs=True)}" for i in range(6)}
    measures = {
        "npv": (f"=SUM({span[2]})", money.npv, "amount"),
        "irr": (f"=IRR({span[0]},0.1)", money.irr[0] if money.irr else "", "percent"),
        "payback": (_back(cell(row + 1, last), span[4]), money.payback_years, "number"),
        "payback_discounted": (_back(cell(row + 3, last), span[5]), money.discounted_payback_years, "number"),
    }
    spreads = {
        "npv": money.npv_spread,
        "payback": money.payback_spread,
        "payback_discounted": money.discounted_payback_spread,
    }
    for i, (name, (formula, value, look)) in enumerate(measures.items()):
        at = row + 7 + i
        sheet.write_string(at, 0, say(f"workbook.row.{name}"))
        shown = value if isinstance(value, str) or value < float("inf") else say("front.number.never")
        sheet.write_formula(at, 1, formula, book.formats[look], shown)
        book.name(name, sheet, at, 1)
        _write_interval(book, sheet, at, spreads.get(name), look)


def _write_interval(book: WorkbookFile, sheet: Any, row: int, spread: Any, look: str) -> None:
    """The ends that hold 80 % of the draws, as written: beside the live figure, with words that say so."""
    if spread is None:
        return
    for column, value in ((2, spread.low), (3, spread.high)):
        if math.isfinite(value):
            sheet.write_number(row, column, value, book.formats[look])
        else:
            sheet.write_string(row, column, say("front.number.never"))
    sheet.write_string(row, 4, say("workbook.interval_money"), book.formats["aside"])


def _cumulate(sheet: Any, of: tuple[int, int], year: int, book: WorkbookFile, value: float) -> None:
    row, column = of
    before = f"{cell(row + 1, column - 1)}+" if year else ""
    sheet.write_formula(row + 1, column, f"={before}{cell(row, column)}", book.formats["amount"], value)


def _write_crossing(sheet: Any, at: tuple[int, int], flow: tuple[int, int], year: int, book: WorkbookFile) -> None:
    """Where this year begins below zero: the moment within it at which the shortfall would be made up."""
    if not year:
        return
    row, column = flow
    before = cell(row + 1, column - 1)
    formula = f'=IF({before}<0,{cell(2, column - 1)}-{before}/{cell(row, column)},"")'
    sheet.write_formula(*at, formula, book.formats["number"], "")


def _back(end: str, crossings: str) -> str:
    """The last year that begins below zero decides: never if the end is below, 0 if none begins so."""
    never = say("front.number.never")
    return f'=IF({end}<0,"{never}",IF(COUNT({crossings})=0,0,LOOKUP(9.9E+307,{crossings})))'
