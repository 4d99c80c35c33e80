"""Tables on the line as rows of text: rates, shares of the chart, what-ifs, stations, gains, runs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from coreset.line.report import pattern_line, sentences
from coreset.report.numbers import listed, number
from coreset.rounding import fixed
from coreset.text import say

PERCENT = 100.0
Row = dict[str, str]


def _c(name: str) -> str:
    return say(f"line.column.{name}")


def _pct(share: float, digits: int = 0) -> str:
    return fixed(PERCENT * share, digits)


def rates(found: Iterable[Any]) -> list[Row]:
    """One row a pattern and method: molds an hour and a shift, what limits; scrap if any was entered."""
    rows, given = [], list(found)
    counted = any(rate.scrap is not None for rate in given)
    for rate in given:
        beyond = min(value for name, value in rate.limits.items() if name != rate.limited_by)
        rows.append(
            {
                _c("pattern"): rate.pattern,
                _c("method"): rate.method,
                _c("rate"): f"{number(rate.molds_per_h, 1)} ({number(rate.low, 1)} – {number(rate.high, 1)})",
                _c("good"): f"{number(rate.good_per_shift)} ({number(rate.good_low)} – {number(rate.good_high)})",
                **({_c("scrap"): _scrap(rate.scrap)} if counted else {}),
                _c("limit"): sentences.where(rate.limited_by),
                _c("molding"): number(rate.limits["molding"], 1),
                _c("beyond"): number(beyond),
                _c("kept"): _pct(rate.kept, 1),
            }
        )
    return rows


def _scrap(share: float | None) -> str:
    return say("line.no_scrap") if share is None else number(PERCENT * share, 1)


def shares(row: Any) -> list[Row]:
    """One row a worker or machine: working, waiting, idle, and for whom it waits."""
    return [
        {
            _c("method"): row.method,
            _c("who"): sentences.who(name),
            _c("working"): _pct(working),
            _c("waiting"): _pct(waiting),
            _c("idle"): _pct(row.idle[name]),
            _c("waits_for"): ", ".join(
                f"{sentences.who(other)} {fixed(seconds, 1)}"
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
    """One row a method and station: where its time goes, what holds it up most, what a second less is worth."""
    rows = []
    for method in found.methods:
        for name, (working, stopped, blocked, starved) in method.run.shares.items():
            rows.append(
                {
                    _c("method"): method.method,
                    _c("station"): sentences.where(name),
                    _c("working"): _pct(working),
                    _c("stopped"): _pct(stopped, 1),
                    _c("blocked"): _pct(blocked, 1),
                    _c("starved"): _pct(starved, 1),
                    _c("cause"): cause(method.run.roots[name]),
                    _c("worth"): _worth([row for row in method.seconds if (row.by or row.station) == name]),
                }
            )
    return rows


def _worth(rows: list[Any]) -> str:
    """What a second less is worth at one station; where it has several steps, at each."""
    if len(rows) < 2:
        return "".join(number(row.gain_per_h, 2) for row in rows)
    return listed([f"{sentences.where(row.station)} {number(row.gain_per_h, 2)}" for row in rows])


def cause(lost: dict[tuple[str, str, str], float]) -> str:
    """What most of a station's standing comes from, in words; empty where it hardly stands."""
    key = max(lost, key=lambda one: lost[one], default=None)
    if key is None or lost[key] < sentences.WORTH_SAYING / 10:
        return ""
    return say(f"line.cause.{key[0]}", root=pattern_line.root(*key[1:]), share=_pct(lost[key], 1))


def roots(found: Any) -> list[Row]:
    """One row a method, station and root: how it stands, what that comes from, how much of its time."""
    return [
        {
            _c("method"): method.method,
            _c("station"): sentences.where(name),
            _c("stands"): say(f"line.stands.{how}"),
            _c("root"): pattern_line.root(kind, cause),
            _c("share"): _pct(share, 1),
        }
        for method in found.methods
        for name, lost in method.run.roots.items()
        for (how, kind, cause), share in lost.items()
        if share >= sentences.WORTH_SAYING / 10
    ]


def shifts(found: Iterable[Any], rates: Iterable[Any]) -> list[Row]:
    """One row a pattern under its method of the job mix: good molds a shift, changes in it."""
    known = {(rate.pattern, rate.method): rate for rate in rates}
    return [
        {
            _c("pattern"): row.pattern,
            _c("method"): row.method,
            _c("rate_plain"): number(known[row.pattern, row.method].molds_per_h, 1),
            _c("good"): number(row.good_per_shift),
            _c("aside"): _pct(row.aside),
        }
        for row in found
    ]


def gains(found: Sequence[Any]) -> list[Row]:
    """One row a change or several together."""
    return [
        {
            _c("what"): sentences.parts(row),
            _c("gain"): sentences.signed(row.share, 1),
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
