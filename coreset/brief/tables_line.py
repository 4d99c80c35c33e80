"""Tables on the line as rows of text: rates, shares of the chart, what-ifs, stations, gains, runs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from coreset.brief import say_line
from coreset.brief.numbers import number
from coreset.brief.text import say
from coreset.rounding import fixed

PERCENT = 100.0
Row = dict[str, str]


def _c(name: str) -> str:
    return say(f"line.column.{name}")


def _pct(share: float, digits: int = 0) -> str:
    return fixed(PERCENT * share, digits)


def rates(found: Iterable[Any]) -> list[Row]:
    """One row a pattern and method: molds an hour and a shift, what limits, the limit after it."""
    rows = []
    for rate in found:
        beyond = min(value for name, value in rate.limits.items() if name != rate.limited_by)
        rows.append(
            {
                _c("pattern"): rate.pattern,
                _c("method"): rate.method,
                _c("rate"): f"{number(rate.molds_per_h, 1)} ({number(rate.low, 1)} – {number(rate.high, 1)})",
                _c("shift"): number(rate.per_shift),
                _c("limit"): say_line.where(rate.limited_by),
                _c("molding"): number(rate.limits["molding"], 1),
                _c("beyond"): number(beyond),
                _c("kept"): _pct(rate.flow, 1),
            }
        )
    return rows


def shares(row: Any) -> list[Row]:
    """One row a worker or machine: working, waiting, idle, and for whom it waits."""
    return [
        {
            _c("method"): row.method,
            _c("who"): say_line.who(name),
            _c("working"): _pct(working),
            _c("waiting"): _pct(waiting),
            _c("idle"): _pct(row.idle[name]),
            _c("waits_for"): ", ".join(
                f"{say_line.who(other)} {fixed(seconds, 1)}"
                for other, seconds in sorted(row.waits_for[name].items(), key=lambda item: -item[1])
            ),
        }
        for name, (working, waiting) in row.shares.items()
    ]


def changes(found: Iterable[Any]) -> list[Row]:
    """One row a what-if."""
    return [
        {
            _c("change"): say(f"line.change.{change.code}"),
            _c("before"): fixed(change.before.mean_s, 1),
            _c("after"): fixed(change.after.mean_s, 1),
            _c("saved"): number(change.saved_s, 1),
        }
        for change in found
    ]


def stations(found: Any) -> list[Row]:
    """One row a method and station: where its time goes, who holds it up most, what a second less is worth."""
    rows = []
    for method in found.methods:
        worth = {row.station: row for row in method.seconds}
        for name, (working, stopped, blocked, starved) in method.run.shares.items():
            rows.append(
                {
                    _c("method"): method.method,
                    _c("station"): say_line.where(name),
                    _c("working"): _pct(working),
                    _c("stopped"): _pct(stopped, 1),
                    _c("blocked"): _pct(blocked, 1),
                    _c("starved"): _pct(starved, 1),
                    _c("cause"): cause(method.run.causes[name]),
                    _c("worth"): number(worth[name].gain_per_h, 2) if name in worth else "",
                }
            )
    return rows


def cause(lost: dict[str, float]) -> str:
    """What holds a station up most, in words; empty where nothing does."""
    name = max(lost, key=lambda key: lost[key], default="")
    if not name or lost[name] < say_line.WORTH_SAYING / 10:
        return ""
    how, _, other = name.partition(" by ")
    return say(f"line.cause.{how}", where=say_line.where(other))


def gains(found: Sequence[Any]) -> list[Row]:
    """One row a change or several together."""
    return [
        {
            _c("what"): say_line.parts(row),
            _c("gain"): say_line.signed(row.share, 1),
            _c("gain_per_h"): f"{number(row.gain_per_h, 2)} ({number(row.low, 2)} – {number(row.high, 2)})",
        }
        for row in found
    ]


def runs(found: Iterable[Any]) -> list[Row]:
    """One row a run of the sequence."""
    return [
        {
            _c("start"): fixed(run.start_h, 1),
            _c("pattern"): run.pattern,
            _c("method"): run.method,
            _c("change_h"): fixed(run.change_h, 2),
            _c("molding_h"): fixed(run.molding_h, 1),
            _c("molds"): number(run.molds),
        }
        for run in found
    ]
