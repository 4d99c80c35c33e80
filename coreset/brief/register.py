"""The register of standards as a file for a routing and as a table of the terminal. In: entries; out: texts."""

from __future__ import annotations

from collections.abc import Iterable

from coreset.brief.dataset import table as csv_table
from coreset.brief.screen import table, wrapped
from coreset.report.blocks import heads
from coreset.report.numbers import ends, number
from coreset.study.register import RegisterEntry, register_rows
from coreset.text import say

DIGITS = 4
"""Decimals of the figures in the file, where the plant names no other number."""


def register_csv(entries: Iterable[RegisterEntry], *, digits: int = DIGITS) -> bytes:
    """The register as CSV: one row a pattern and method, units in the heads."""
    return csv_table(register_rows(entries, digits=digits))


def shown(entries: Iterable[RegisterEntry]) -> list[list[str]]:
    """Rows of the table that people read, under `brief.heads.register`."""
    return [
        [
            one.pattern, one.method, number(one.standard_min_per_mold, 3), ends(one.low_min, one.high_min, digits=3),
            ends(one.timed_low_min, one.timed_high_min, digits=3),
            number(one.h_per_100_molds, 2), number(one.molds_per_h, 1), number(one.allowance_pct, 1), one.version,
            one.effective, say(f"brief.register.{one.status}"), " + ".join(one.studies),
            number(one.drift_pct, 1), _next(one),
        ]
        for one in entries
    ]  # fmt: skip


def _next(one: RegisterEntry) -> str:
    """When the next study is, and why it is due."""
    return "; ".join(filter(None, (one.restudy, *(say(f"brief.register.due_{code}") for code in one.restudy_due))))


def register_table(entries: Iterable[RegisterEntry]) -> list[dict[str, str]]:
    """Rows of the table by their heads, for a page."""
    return [dict(zip(heads("register"), row, strict=True)) for row in shown(entries)]


def screen_of(entries: Iterable[RegisterEntry]) -> str:
    """The register for a terminal."""
    rows = shown(entries)
    return table(heads("register"), rows) if rows else wrapped(say("brief.register.empty"))
