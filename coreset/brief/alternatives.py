"""The options side by side: the one of the verdict first, then by worth. In: an assessment. Out: rows."""

from __future__ import annotations

import math
from typing import Any

from coreset.brief.tables import Rows
from coreset.decision.constraints import barred, constraints, mechanised, rule_of, unproven
from coreset.decision.names import option_name
from coreset.decision.sentences import hard_reasons, to_prove
from coreset.money.report.names import payback_value
from coreset.report.numbers import NONE, borne, ends, listed, number, percent
from coreset.text import say

SHOWN = 4
"""Rows on the two pages; the long form and the page on options have all."""


def alternatives(assessment: Any) -> Rows:
    """One row an option: its cost and worth, whether it pays, and how many limits it breaks or has still to prove.

    Nothing where there is no other option than the current method.
    """
    if assessment.money is None or len(assessment.money.alternatives) < 2:
        return []
    rows = [[*_row(assessment, option), _limits(assessment, option)] for option in _in_order(assessment)]
    more = len(rows) - SHOWN
    if more <= 0:
        return rows
    return [*rows[: SHOWN - 1], [say("brief.more_options", count=more + 1), *[""] * (len(rows[0]) - 1)]]


def alternatives_in_full(assessment: Any) -> Rows:
    """The same of every option, one alone too, with patterns, delivery, lifting, and each limit in words."""
    if assessment.money is None:
        return []
    return [
        [
            *_row(assessment, option),
            listed(option.patterns) or say("brief.no_pattern"),
            _delivery(assessment.case, option),
            say("money.column.beyond") if math.isinf(option.worst_li) else number(option.worst_li, 2),
            say("money.column.yes") if option.removes_risk else NONE,
            limits_in_words(assessment, option),
        ]
        for option in _in_order(assessment)
    ]


def _in_order(assessment: Any) -> list[Any]:
    first = assessment.verdict.option
    rest = sorted((row for row in assessment.money.alternatives if row is not first), key=lambda row: -row.npv.mean)
    return [first, *rest]


def _row(assessment: Any, option: Any) -> list[str]:
    npv = option.npv
    return [
        option_name(option, assessment.money.candidate),
        number(option.first_cost, -2),
        f"{borne(option.base_npv, npv.low, npv.high, most=0)} ({ends(npv.low, npv.high, most=0)})",
        percent(option.chance_npv_positive),
        payback_value(option.payback_years, option.payback),
        percent(option.chance_payback) if assessment.money.payback_limit_years else "",
    ]


def _delivery(case: Any, option: Any) -> str:
    """Months until the setter of an option works; nothing for a method by hand."""
    if not mechanised(case, option.method):
        return NONE
    rule = rule_of(case, option)
    own = rule.delivery_months if rule is not None else None
    return number(case.money.delivery_months if own is None else own)


def _limits(assessment: Any, option: Any) -> str:
    """How many limits an option breaks, else how many are to be proven; a pattern set that is empty says so."""
    found = constraints(assessment, option)
    if barred(found):
        return say("brief.option_barred")
    if not option.patterns:
        return say("brief.no_pattern")
    proofs = len(unproven(found))
    return say("brief.option_unproven", count=proofs) if proofs else say("brief.option_kept")


def limits_in_words(assessment: Any, option: Any) -> str:
    """Which limits an option breaks and why, else what is to be proven of it."""
    found = constraints(assessment, option)
    if barred(found):
        return say("brief.option_barred_by", why="; ".join(hard_reasons(found)))
    if proofs := to_prove(found):
        return say("brief.option_to_prove", proofs=listed(proofs))
    return say("brief.option_kept") if option.patterns else say("brief.no_pattern")
