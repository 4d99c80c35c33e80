"""Interval of an index, chances that it exceeds limits, and how much of it is measuring error."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from coreset.lifting.report.sentences import label_of, worst_first
from coreset.lifting.report.status import index_text
from coreset.rounding import fixed
from coreset.text import say


def sureness_sentence(found: Any) -> str:
    """Interval and chances of an index, and how much of it is measuring error."""
    if not found.entered:
        return say("handling.sure.nothing")
    share = "0" if math.isnan(found.from_measuring) else fixed(100 * found.from_measuring)
    return say(
        "handling.sure.row",
        low=index_text(found.low),
        high=index_text(found.high) if math.isfinite(found.high) else say("handling.sure.beyond"),
        above_1=fixed(100 * found.above_1),
        above_3=fixed(100 * found.above_3),
        share=share,
    )


def sure_rows(screened: Sequence[Any], spreads: Sequence[Any]) -> list[dict[str, str]]:
    """Interval of each index, the chances that it exceeds 1 and 3, and how much of its spread is measuring error."""
    found = {id(row): one for row, one in zip(screened, spreads, strict=True)}
    return [_sure_row(row, found[id(row)]) for row in worst_first(screened) if found[id(row)]]


def _sure_row(row: Any, one: Any) -> dict[str, str]:
    high = index_text(one.high) if math.isfinite(one.high) else say("handling.sure.beyond")
    span = say("handling.sure.interval", low=index_text(one.low), high=high)
    span, above_1, above_3, share = (
        (span, *(fixed(100 * x) if x == x else "–" for x in (one.above_1, one.above_3, one.from_measuring)))
        if one.entered
        else (say("handling.sure.not_entered"), "–", "–", "–")
    )
    return {
        say("handling.column.task"): label_of(row),
        say("handling.column.method"): row.method,
        say("handling.column.li"): index_text(row.li, row.at_least),
        say("handling.sure.span"): span,
        say("handling.sure.above", level=1): above_1,
        say("handling.sure.above", level=3): above_3,
        say("handling.sure.measuring"): share,
    }
