"""Words and table of the audit after the purchase."""

from __future__ import annotations

from collections.abc import Iterable

from coreset.brief.numbers import number
from coreset.brief.say_money import amount
from coreset.brief.text import say
from coreset.money.audit import AuditRow, keeps_promise, shortfall

DIGITS = {"payback": 1}


def answer(rows: tuple[AuditRow, ...], currency: str) -> str:
    """Whether the purchase keeps its promise so far, and where it falls short."""
    saving = next(row for row in rows if row.item == "saving")
    shown = {"promised": amount(saving.promised, currency), "achieved": amount(saving.achieved, currency)}
    if keeps_promise(rows):
        return say("money.audit.answer_kept", **shown)
    worst = shortfall(rows)
    name = say(f"money.item.{worst.item}") if worst else say("money.none")
    return say("money.audit.answer_short", item=name, **shown)


def table(rows: Iterable[AuditRow]) -> list[dict[str, str]]:
    """One row an item, promised and achieved."""
    return [
        {
            say("money.column.item"): _name(row),
            say("money.column.promised"): number(row.promised, DIGITS.get(row.item, 0)),
            say("money.column.achieved"): number(row.achieved, DIGITS.get(row.item, 0)),
            say("money.column.difference"): number(row.difference, DIGITS.get(row.item, 0)),
            say("money.column.within"): _within(row),
        }
        for row in rows
    ]


def _name(row: AuditRow) -> str:
    return say(f"money.audit.{row.item}") if row.kind == "figure" else say(f"money.item.{row.item}")


def _within(row: AuditRow) -> str:
    if row.within is None:
        return ""
    return say("money.column.yes") if row.within else say("money.column.outside")
