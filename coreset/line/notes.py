"""What the reader must be told of stops, line and the setter's fit: codes and the patterns that each concerns."""

from __future__ import annotations

from collections.abc import Iterable, Set
from dataclasses import dataclass
from typing import Any

from coreset.case import Case
from coreset.case.stops import PERCENT, running
from coreset.line.core_supply import half_entered
from coreset.line.rest import WAITING, wait_s
from coreset.line.setter_hold import FitOfPattern, fits
from coreset.line.setter_limits import TOO_LARGE
from coreset.line.today import FloorCheck

LEAST_S = 30.0
"""Wait from which some of it is credited as rest: the ILO's rule for waits in machine work [from memory]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineNote:
    """One matter: its code, and the blanks of its sentence."""

    code: str
    blanks: dict[str, Any]


def notes(case: Case, rates: Iterable[Any]) -> tuple[LineNote, ...]:
    """Patterns whose cores the setter does not hold, cannot take, or of which it is not known; and lines too hot.

    Only patterns that have a rate under a mechanised method are looked at: for the others nobody means to buy a mask.
    """
    masked = {method.method for method in case.methods if method.mechanised}
    rows = tuple(rates)
    asked = {row.pattern for row in rows if row.method in masked}
    looked = [p for p in fits(case) if p.pattern in asked]
    found = (
        _note("no_fit", [p for p in looked if _broken(p, TOO_LARGE)]),
        _note("not_held", [p for p in looked if _broken(p, {"force"})], wanted=case.setter.safety_factor),
        _note("not_known", [p for p in looked if p.holds is None]),
    )
    hot = [LineNote(code="too_hot", blanks={"pattern": r.pattern, "method": r.method}) for r in rows if _cooled(r)]
    return tuple(note for note in (_stops(case), *found, *hot) if note is not None)


def method_notes(case: Case, mold_cycles: Iterable[Any]) -> tuple[LineNote, ...]:
    """Rest that the methods grant and that finds no place, at its most, or waits too short for it; cores by half."""
    rows = tuple(row for row in mold_cycles if row.rest is not None)
    lacking: dict[str, Any] = {}
    for row in rows:
        known = lacking.get(row.method)
        if row.rest.short_min > max(0.0, known.rest.short_min if known else 0.0):
            lacking[row.method] = row
    rest = [
        LineNote(
            code="rest_short",
            blanks={"pattern": r.pattern, "method": name, "taken": r.rest.taken, "minutes": r.rest.short_min},
        )
        for name, r in lacking.items()
    ]
    waits = {row.method: wait_s(row) for row in sorted(rows, key=wait_s, reverse=True) if row.rest.taken == WAITING}
    rest += [LineNote(code="rest_waits", blanks={"method": m, "seconds": s}) for m, s in waits.items() if s < LEAST_S]
    half = [
        LineNote(code=f"half_{what}", blanks={"method": method.method})
        for method in case.methods
        for what in half_entered(case, method)
    ]
    return (*rest, *half)


def floor_notes(check: FloorCheck | None) -> tuple[LineNote, ...]:
    """Whether the line's figures were checked against molds counted on the floor, and what came of it."""
    if check is None:
        return (LineNote(code="not_checked", blanks={}),)
    factor = dict(zip(("factor", "low", "high"), check.factor, strict=True))
    off = tuple(row.pattern for row in check.patterns if row.differs)
    found = [LineNote(code="calibrated", blanks=factor)]
    if check.differs or off:
        found.append(
            LineNote(code="floor_differs", blanks={"pattern": off or tuple(r.pattern for r in check.patterns)})
        )
    return tuple(found)


def _stops(case: Case) -> LineNote | None:
    """What is assumed of stops, or how a case of version 0.1.0 is read; nothing where all of it was entered."""
    line, found = case.line, running(case.line, case.form)
    if found.how == "list" and line.other_stops_pct is None:
        return LineNote(code="stops_list_alone", blanks={})
    if found.how in ("nothing", "form_1"):
        other = PERCENT * (1.0 - found.share)
        blanks = {"uptime": line.uptime, "left": found.left, "other": other} if found.how != "nothing" else {}
        return LineNote(code=f"stops_{found.how}", blanks=blanks)
    return None


def _broken(p: FitOfPattern, codes: Set[str]) -> bool:
    return any(codes & set(core.breaks) for core in p.cores)


def _note(code: str, patterns: list[FitOfPattern], **blanks: Any) -> LineNote | None:
    names = tuple(p.pattern for p in patterns)
    return LineNote(code=code, blanks={"pattern": names, **blanks}) if names else None


def _cooled(rate: Any) -> bool:
    return rate.limited_by == "cooling"
