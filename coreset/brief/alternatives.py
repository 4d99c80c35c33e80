"""The options side by side on page one: the one of the verdict first, then by worth. In: an assessment. Out: rows."""

from __future__ import annotations

from typing import Any

from coreset.brief.tables import Rows
from coreset.decision.constraints import barred, constraints, unproven
from coreset.decision.names import option_name
from coreset.money.report.names import payback_value
from coreset.report.numbers import borne, ends, number, percent
from coreset.text import say

SHOWN = 4
"""Rows on the two pages; the page on options has all."""


def alternatives(assessment: Any) -> Rows:
    """One row an option: its cost and worth, whether it pays, and which limits it breaks or what is to be proven.

    Nothing where there is no other option than the current method.
    """
    if assessment.money is None or len(assessment.money.alternatives) < 2:
        return []
    first = assessment.verdict.option
    rest = sorted((row for row in assessment.money.alternatives if row is not first), key=lambda row: -row.npv.mean)
    rows = [_row(assessment, row) for row in (first, *rest)]
    more = len(rows) - SHOWN
    if more <= 0:
        return rows
    return [*rows[: SHOWN - 1], [say("brief.more_options", count=more + 1), *[""] * (len(rows[0]) - 1)]]


def _row(assessment: Any, option: Any) -> list[str]:
    npv = option.npv
    return [
        option_name(option, assessment.money.candidate),
        number(option.first_cost, -2),
        f"{borne(npv.mean, npv.low, npv.high, most=0)} ({ends(npv.low, npv.high, most=0)})",
        percent(option.chance_npv_positive),
        payback_value(option.payback_years, option.payback),
        percent(option.chance_payback) if assessment.money.payback_limit_years else "",
        _limits(assessment, option),
    ]


def _limits(assessment: Any, option: Any) -> str:
    """How many limits an option breaks, else how many are to be proven; a pattern set that is empty says so."""
    found = constraints(assessment, option)
    if barred(found):
        return say("brief.option_barred")
    if not option.patterns:
        return say("brief.no_pattern")
    proofs = len(unproven(found))
    return say("brief.option_unproven", count=proofs) if proofs else say("brief.option_kept")
