"""What tax writes off by year under a published table or rule, line by line."""

from __future__ import annotations

from typing import Any

from coreset.case import Case, Money
from coreset.money.decision import Decision
from coreset.money.tax import DISPOSAL_SHARE
from coreset.rounding import fixed
from coreset.sources import table, used
from coreset.text import say
from coreset.working import Working

MACRS = "macrs"
HALF_YEAR, MID_QUARTER = "irs946/table_a1_half_year", "irs946/tables_a2_to_a5_mid_quarter"


def written_off(case: Case, d: Decision) -> list[Working]:
    """Share of the initial cost written off by year under MACRS; nothing where no tax is paid or another rule holds.

    Parameters
    ----------
    case : Case
        Rule of depreciation and tax rate.
    d : Decision
        Its base case.

    Returns
    -------
    list of Working
        One line a year until the sale; in the year of sale before the end of the table half of the printed share, or
        that of the quarter.

    References
    ----------
    [irs946] tables A-1 to A-5; [newnan] figure 12-3.
    """
    money, rule = case.money, case.money.depreciation or ""
    if not (money.tax_rate and rule.startswith(MACRS)):
        return []
    path, place = (MID_QUARTER, "tables A-2 to A-5") if money.macrs_quarter else (HALF_YEAR, "table A-1")
    asked = {"class_years": rule.removeprefix(MACRS)}
    asked |= {"quarter": str(money.macrs_quarter)} if money.macrs_quarter else {}
    printed = table(path)
    rows = [row for row in printed.rows if asked.items() <= row.items()]
    found = []
    for year, row in zip(range(1, d.years + 1), rows, strict=False):
        share = 100.0 * d.base.number("write_off_share", 0, year)
        sold = year == d.years and year < len(rows)
        rests = _rests_on(printed.row_status(row), money.macrs_quarter, sold=sold)
        numbers = _numbers(row["percent"], money, year, sold=sold)
        what = say("money.working.written_off", year=year)
        where = "figure 12-3" if rests["source"] == "newnan" else place
        found.append(
            Working(what=what, formula=rule.upper(), numbers=numbers, value=share, unit="%", where=where, **rests)
        )
    return found


def _rests_on(status: str, quarter: int, *, sold: bool) -> dict[str, Any]:
    """What the share of one year rests on: half in the year of sale is printed, the part of a quarter is not."""
    if not quarter:
        return used("newnan", "TAX-sale") if sold else used("irs946", "TAX-macrs", rows=[status])
    return used("irs946", "TAX-mid-quarter", *(["TAX-sale-quarter"] if sold else []), rows=[status])


def _numbers(printed: str, money: Money, year: int, *, sold: bool) -> str:
    """The printed share, less what is written off at once in year 1, times the part that the year of sale counts."""
    at_once = money.first_year_share
    part = DISPOSAL_SHARE["mid_quarter" if money.macrs_quarter else "half_year"]
    numbers = f"{printed} × {fixed(1 - at_once, 4)}" if at_once else printed
    numbers += f" + {fixed(100 * at_once, 2)}" if at_once and year == 1 else ""
    return f"({numbers}) × {fixed(part, 4)}" if sold else numbers
