"""Words and tables of the audit after the purchase."""

from __future__ import annotations

import math
from collections.abc import Iterable

from coreset.case import Actual
from coreset.money.chances import Spread
from coreset.money.post_audit import AuditRow, measured, not_measured, shortfall, verdict
from coreset.money.reforecast import OPEN, Reforecast
from coreset.money.report.sentences import amount
from coreset.report.numbers import between, borne, listed, number, percent
from coreset.text import say

Row = dict[str, str]
DIGITS = {"payback": 1}
NO_MONEY = ("payback", "hours", "molds")
"""Figures whose unit is not money: the catalogue has it."""


def answer(rows: tuple[AuditRow, ...], currency: str) -> str:
    """What the measured items achieve against what was promised for them, and the item furthest behind."""
    total, worst, code = measured(rows), shortfall(rows), verdict(rows)
    if code == "not_measured":
        saving = next(row for row in rows if row.item == "saving")
        implied, promised = amount(saving.achieved, currency), amount(saving.promised, currency)
        return say("money.audit.answer_not_measured", implied=implied, promised=promised)
    return say(
        f"money.audit.answer_{code}",
        promised=amount(total.promised, currency),
        achieved=amount(total.achieved, currency),
        lag=say("money.audit.lag", item=_name(worst)) if worst else "",
    )


def not_entered(rows: Iterable[AuditRow]) -> tuple[str, ...]:
    """What was not measured, year by year, and that the whole-life figures are forecasts."""
    rows = tuple(rows)
    forecast = (say("money.audit.to_come"),) if verdict(rows) != "not_measured" else ()
    return forecast + tuple(
        say("money.audit.missing", year=year, items=listed(say(f"money.item.{item}") for item in items))
        for year, items in not_measured(rows).items()
    )


def forecast(found: Reforecast, currency: str) -> tuple[str, ...]:
    """The verdict on the original claim with the forecast, what is carried on, and why the measured items differ."""
    if found.claim == OPEN:
        return ()
    years = say("money.audit.never") if math.isinf(found.payback_years) else number(found.payback_years, 1)
    said = say(
        "money.audit.claim",
        claim=say(f"money.audit.claim_{found.claim}"),
        **{"promised": _with_ends(found.promised), "now": _with_ends(found.npv)},
        chance=percent(found.chance_npv_positive),
        payback=years,
        coverage=percent(found.coverage),
        currency=currency,
    )
    carried = [f"{say(f'money.item.{item}')} {percent(share)}" for item, share in found.factors.items()]
    parts = [f"{say(f'money.audit.reason_{name}')} {number(value)}" for name, value in found.reasons.items()]
    why = say("money.audit.reasons", parts=", ".join(parts), total=amount(sum(found.reasons.values()), currency))
    return (
        said,
        *((say("money.audit.carried", items=listed(carried)),) if carried else ()),
        why if parts else say("money.audit.no_reasons"),
    )


def _with_ends(value: Spread) -> str:
    ends = between(value.low, value.high)
    return say("money.audit.with_ends", value=borne(value.mean, value.low, value.high), ends=ends)


def figures(rows: Iterable[AuditRow], currency: str) -> list[Row]:
    """The whole figures, promised and as calculated now: none of them is measured."""
    return [
        {
            say("money.column.item"): say(
                "money.audit.with_unit",
                what=_name(row),
                unit=say(f"money.audit.unit_{row.item}") if row.item in NO_MONEY else currency,
            )
        }
        | _sides(row, "now")
        | {say("money.column.within"): _within(row)}
        for row in rows
        if row.kind == "figure"
    ]


def table(rows: Iterable[AuditRow], currency: str) -> list[Row]:
    """One row an item and year, promised and achieved; what was not measured has no achieved figure. [currency]"""
    return [
        {say("money.chart.year"): str(row.year), say("money.audit.item", currency=currency): _name(row)}
        | _sides(row, "achieved")
        | {say("money.audit.basis"): _basis(row) if row.kind != "total" else ""}
        for row in rows
        if row.kind != "figure"
    ]


def entries(actuals: Iterable[Actual], currency: str) -> list[Row]:
    """What was entered, as it stands in the case, by year."""
    return [
        {
            say("money.chart.year"): str(row.year),
            say("money.column.item"): say(f"money.item.{row.item}"),
            say("money.audit.amount", currency=currency): number(row.amount),
            say("money.audit.origin"): row.origin,
        }
        for row in sorted(actuals, key=lambda row: row.year)
    ]


def _sides(row: AuditRow, column: str) -> Row:
    """Promised, the other side under the head of `column`, and the difference; a dash where it was not measured."""
    digits, open_item = DIGITS.get(row.item, 0), row.kind != "figure" and row.basis != "entered"
    sides = {"promised": row.promised, column: row.achieved, "difference": row.difference}
    return {
        say(f"money.column.{name}"): "–"
        if math.isnan(value) or (open_item and name != "promised")
        else number(value, digits)
        for name, value in sides.items()
    }


def _basis(row: AuditRow) -> str:
    implied = "" if math.isnan(row.achieved) else amount(row.achieved)
    return say(f"money.audit.is_{row.basis}", implied=implied)


def _name(row: AuditRow) -> str:
    return say(f"money.audit.{row.item}") if row.kind == "figure" else say(f"money.item.{row.item}")


def _within(row: AuditRow) -> str:
    if row.within is None:
        return "–"
    return say("money.column.yes") if row.within else say("money.column.outside")
