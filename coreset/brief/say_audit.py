"""Words and tables of the audit after the purchase."""

from __future__ import annotations

from collections.abc import Iterable

from coreset.brief.numbers import listed, number
from coreset.brief.say_money import amount
from coreset.brief.text import say
from coreset.case import Actual
from coreset.money.audit import AuditRow, judged, keeps_promise, missing, shortfall

Row = dict[str, str]
DIGITS = {"payback": 1}
NO_MONEY = ("payback", "hours", "molds")
"""Figures whose unit is not money: the catalogue has it."""


def answer(rows: tuple[AuditRow, ...], currency: str) -> str:
    """Whether the purchase keeps its promise so far, and where it falls short."""
    found = judged(rows)
    shown = {"promised": amount(found.promised, currency), "achieved": amount(found.achieved, currency)}
    shown["what"] = say(f"money.audit.{found.item}")
    worst = shortfall(rows)
    if keeps_promise(rows):
        lag = say("money.audit.lag", item=_name(worst)) if worst else ""
        return say("money.audit.answer_kept", lag=lag, **shown)
    return say("money.audit.answer_short", item=_name(worst) if worst else say("money.none"), **shown)


def not_entered(rows: Iterable[AuditRow]) -> tuple[str, ...]:
    """What is not entered: the years to come, and what is missing of those that have run."""
    rows = tuple(rows)
    to_come = (say("money.audit.to_come"),) if judged(rows).basis == "entered" else ()
    return to_come + tuple(
        say("money.audit.missing", year=year, items=listed(say(f"money.item.{item}") for item in items))
        for year, items in missing(rows).items()
    )


def figures(rows: Iterable[AuditRow], currency: str) -> list[Row]:
    """The whole figures, promised and achieved."""
    return [
        {
            say("money.column.item"): say(
                "money.audit.with_unit",
                what=_name(row),
                unit=say(f"money.audit.unit_{row.item}") if row.item in NO_MONEY else currency,
            )
        }
        | _sides(row)
        | {say("money.column.within"): _within(row)}
        for row in rows
        if row.kind == "figure"
    ]


def table(rows: Iterable[AuditRow], currency: str) -> list[Row]:
    """One row an item and year, promised and achieved, and what the achieved figure rests on. [currency]"""
    return [
        {say("money.chart.year"): str(row.year), say("money.audit.item", currency=currency): _name(row)}
        | _sides(row)
        | {say("money.audit.basis"): say(f"money.audit.is_{row.basis}") if row.kind != "total" else ""}
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


def _sides(row: AuditRow) -> Row:
    digits = DIGITS.get(row.item, 0)
    return {
        say(f"money.column.{side}"): number(getattr(row, side), digits)
        for side in ("promised", "achieved", "difference")
    }


def _name(row: AuditRow) -> str:
    return say(f"money.audit.{row.item}") if row.kind == "figure" else say(f"money.item.{row.item}")


def _within(row: AuditRow) -> str:
    if row.within is None:
        return "–"
    return say("money.column.yes") if row.within else say("money.column.outside")
