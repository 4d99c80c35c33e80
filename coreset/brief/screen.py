"""An assessment as about a screen of plain text: the decision first, then tables. Made for a terminal."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from coreset.brief.decision import decision, styled
from coreset.brief.numbers import borne, number
from coreset.brief.say_handling import binding, why_not
from coreset.brief.text import say

GAP = "  "
WIDTH = 100


def screen(assessment: Any) -> str:
    """The answer for a terminal: sentence, standards, handling, line and money as tables, warnings, words of caution.

    Parameters
    ----------
    assessment : Assessment
        The whole job.

    Returns
    -------
    str
        Lines of text without colour, tables with units in their heads.
    """
    case = assessment.case
    blocks = [
        say("common.invented") if case.invented else "",
        wrapped(decision(assessment)),
        _titled("standards", standards_table(assessment)),
        _titled("handling", handling_table(assessment)),
        _titled("line", line_table(assessment)),
        _titled("money", money_table(assessment)),
        _warnings(assessment),
        wrapped(say("front.safety")),
    ]
    return styled("\n\n".join(filter(None, blocks)), case)


def wrapped(text: str) -> str:
    """Text in lines of a terminal's width."""
    import textwrap

    return textwrap.fill(text, WIDTH)


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Rows under heads, numbers to the right.

    Examples
    --------
    >>> print(table(["pattern", "s"], [["HUB", "41.0"], ["BOX", "7.5"]]))
    pattern     s
    HUB      41.0
    BOX       7.5
    """
    cells = [list(heads), *(list(row) for row in rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(heads))]
    right = [all(_numeric(row[i]) for row in rows) for i in range(len(heads))]
    lines = [
        GAP.join(cell.rjust(w) if r else cell.ljust(w) for cell, w, r in zip(row, widths, right, strict=True))
        for row in cells
    ]
    return "\n".join(line.rstrip() for line in lines)


def _numeric(cell: str) -> bool:
    return cell[:1].isdigit() or cell[:1] in "−–-" or cell == say("front.number.never")


def _titled(key: str, body: str) -> str:
    return f"{say(f'brief.table.{key}')}\n{body}" if body else ""


def _heads(key: str, **blanks: str) -> list[str]:
    return [word.strip().format(**blanks) for word in say(f"brief.heads.{key}", **blanks).split("|")]


def standards_table(assessment: Any) -> str:
    """Standard time of each study with its interval."""
    rows = [
        [
            row.pattern,
            row.method,
            row.study,
            str(row.cycles),
            borne(row.standard_s, row.standard_low_s, row.standard_high_s, most=1),
            _ends(row.standard_low_s, row.standard_high_s),
            number(row.allowance_pct, 1),
            number(row.unaccounted_pct, 1),
        ]
        for row in assessment.standards
    ]
    return table(_heads("standards"), rows) if rows else ""


def _ends(low: float, high: float) -> str:
    if not (math.isfinite(low) and math.isfinite(high)):
        return say("front.number.none")
    return f"{borne(low, low, high, most=1)}–{borne(high, low, high, most=1)}"


def handling_table(assessment: Any) -> str:
    """Lifting index of each task, the highest first, and what binds it; or why there is none."""
    order = sorted(assessment.handling, key=lambda row: -(row.li if row.li is not None else math.inf))
    rows = [
        [
            row.pattern,
            row.method,
            row.task,
            number(row.frequency_per_min, 1),
            number(row.li, 2) if row.li is not None else say("front.number.none"),
            binding(row.binding) if row.li is not None else why_not(row.why_not),
        ]
        for row in order
    ]
    return table(_heads("handling"), rows) if rows else ""


def line_table(assessment: Any) -> str:
    """Molds an hour by pattern and method, and what limits them."""
    rows = [
        [
            row.pattern,
            row.method,
            borne(row.molds_per_h, row.low, row.high, most=1),
            _ends(row.low, row.high),
            row.limited_by,
        ]
        for row in assessment.line
    ]
    return table(_heads("line"), rows) if rows else ""


def money_table(assessment: Any) -> str:
    """Each pattern: mask or not, seconds saved, saving a year, run from which it pays."""
    money = assessment.money
    if money is None:
        return ""
    rows = [
        [
            row.pattern,
            say("brief.masked" if row.masked else "brief.by_hand"),
            number(row.seconds_saved, 1),
            borne(row.saving_per_year, row.saving_low, row.saving_high, most=0),
            number(row.run_molds),
            borne(row.break_even_run_molds, row.break_even_run_low, row.break_even_run_high, most=0),
        ]
        for row in money.patterns
    ]
    return table(_heads("money", currency=assessment.case.currency), rows)


def _warnings(assessment: Any) -> str:
    if not assessment.warnings:
        return ""
    lines = [f"- {warning}" for warning in assessment.warnings]
    return "\n".join([say("brief.table.warnings"), *lines])
