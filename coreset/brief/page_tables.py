"""Tables of the brief in full as rows by the names of their columns, in the style of the case, for a page."""

from __future__ import annotations

from typing import Any

from coreset.brief import tables
from coreset.brief.alternatives import alternatives_in_full
from coreset.brief.pattern_table import patterns_in_full
from coreset.report.blocks import heads
from coreset.report.numbers import styled

MAKERS = {
    "flow": tables.flow,
    "drivers": tables.drivers,
    "patterns_full": patterns_in_full,
    "alternatives_full": alternatives_in_full,
}


def named(name: str, assessment: Any) -> list[dict[str, str]]:
    """One of `MAKERS` as rows by the names of their columns."""
    case = assessment.case
    columns = heads(name, currency=case.currency)
    rows = MAKERS[name](assessment)
    return [dict(zip(columns, (styled(cell, case) for cell in row), strict=True)) for row in rows]
