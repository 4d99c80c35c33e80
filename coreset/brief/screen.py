"""An assessment as about a screen of plain text: the decision first, then tables. Made for a terminal."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from typing import Any

from coreset.brief import tables
from coreset.brief.pattern_table import patterns
from coreset.brief.warnings import warnings
from coreset.decision.headline import decision, figures, lines
from coreset.decision.people_words import load_heads, load_rows
from coreset.lifting.report.job_status import jobs_sentence
from coreset.report.blocks import heads
from coreset.report.numbers import SPACE, styled
from coreset.text import say

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
        "\n".join(_filled(f"- {line}", later="  ") for line in lines(assessment)),
        _figures(assessment),
        _titled("standards", tables.standards(assessment)),
        wrapped(jobs_sentence(assessment.jobs)) if case.lifts else "",
        _titled("handling", tables.handling(assessment)),
        _titled("load", load_rows(assessment.verdict, assessment), **load_heads(assessment)),
        _titled("line", tables.line(assessment)),
        _titled("patterns", patterns(assessment, full=True), currency=case.currency),
        _warnings(assessment),
        wrapped(say("front.safety")),
    ]
    return styled("\n\n".join(filter(None, blocks)), case).replace(SPACE, " ")


def wrapped(text: str) -> str:
    """Text in lines of a terminal's width; a number keeps its per cent sign."""
    return _filled(text)


def _filled(text: str, later: str = "") -> str:
    held = re.sub(r"(?<=\d) %", f"{SPACE}%", text)
    return textwrap.fill(held, WIDTH, subsequent_indent=later, break_on_hyphens=False).replace(SPACE, " ")


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
    full = [row for row in cells if len(row) == 1 or any(row[1:])]
    widths = [max(len(row[i]) for row in full) for i in range(len(heads))]
    right = [all(_numeric(row[i]) for row in rows) for i in range(len(heads))]
    lines = [
        GAP.join(cell.rjust(w) if r else cell.ljust(w) for cell, w, r in zip(row, widths, right, strict=True))
        for row in cells
    ]
    return "\n".join(line.rstrip() for line in lines)


def _numeric(cell: str) -> bool:
    return cell[:1].isdigit() or cell[:1] in "−–-≥" or cell == say("front.number.never")


def _figures(assessment: Any) -> str:
    """First cost, saving, payback and net present value of the option, with its rate of return."""
    shown = [f"{figure.what}: {figure.value} ({figure.interval})" for figure in figures(assessment)]
    return "\n".join(_filled(line, later="  ") for line in shown)


def _titled(key: str, rows: Sequence[Sequence[str]], **blanks: str) -> str:
    return f"{say(f'brief.head.{key}')}\n{table(heads(key, **blanks), rows)}" if rows else ""


def _warnings(assessment: Any) -> str:
    if not assessment.warnings:
        return ""
    lines = [_filled(f"- {said}", later="  ") for said in warnings(assessment.warnings)]
    return "\n".join([say("brief.head.warnings"), *lines])
