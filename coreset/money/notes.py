"""What the reader must be told beside the figures: each note is a code and the blanks of its sentence."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Any

from coreset.case import Case
from coreset.money.alternatives import Alternative
from coreset.money.decision import Note
from coreset.money.pattern_choice import Mix
from coreset.money.scrap import ScrapFinding

SPARE = 0.02
"""Share of the scheduled hours below which free hours are not worth a note."""


def notes(
    case: Case,
    found: dict[str, Any],
    scrap: Iterable[ScrapFinding],
    rows: Iterable[Alternative],
    mix: Mix,
    forced: Collection[str] = (),
    *,
    patterns: Sequence[str],
    timed: Collection[str],
) -> tuple[Note, ...]:
    """All notes that hold for a decision, in order of weight.

    Parameters
    ----------
    case : Case
    found : dict of str to object
        Parts of the decision by name.
    scrap, rows, mix
        What the scrap counts say, the options weighed, the chosen set.
    forced : collection of str
        Patterns above the plant's lifting limit.
    patterns : sequence of str
        Patterns that are weighed.
    timed : collection of str
        Those of them that are timed under the candidate.
    """
    return (
        *_rates(found),
        *_set(case, mix, forced, patterns, timed),
        *_hours(case, found),
        *_money(case, found),
        *_counts(scrap),
        *_ways(rows),
    )


def _rates(found: dict[str, Any]) -> Iterable[Note]:
    if len(found["irr"]) > 1:
        yield Note(code="irr_several", blanks={"count": len(found["irr"])})
    elif not found["irr"]:
        yield Note(code="irr_none")
    elif found["irr_sign_changes"] > 1:
        yield Note(code="irr_signs", blanks={"count": found["irr_sign_changes"]})


def _set(
    case: Case, mix: Mix, forced: Collection[str], patterns: Sequence[str], timed: Collection[str]
) -> Iterable[Note]:
    for pattern in case.patterns:
        if pattern.pattern not in patterns:
            yield Note(code="pattern_left_out", blanks={"pattern": pattern.pattern, "method": case.baseline})
    if mix.unproved:
        yield Note(code="set_not_proved", blanks={"more": mix.unproved})
    for code in sorted(set(forced) - set(timed)):
        yield Note(code="forced_not_timed", blanks={"pattern": code})
    for code in patterns:
        if code not in timed and code not in forced:
            yield Note(code="pattern_not_timed", blanks={"pattern": code})


def _hours(case: Case, found: dict[str, Any]) -> Iterable[Note]:
    free = found["hours_available"] - found["hours_needed"]
    if -free > found["overtime_limit_h"]:
        yield Note(code="overtime_beyond_limit", blanks={"hours": -free, "limit": found["overtime_limit_h"]})
    elif free < 0:
        yield Note(code="overtime_today", blanks={"hours": -free})
    elif free > SPARE * found["hours_available"] and any(p.extra_molds_per_year.high > 0 for p in case.patterns):
        yield Note(code="hours_free_today", blanks={"hours": free, "available": found["hours_available"]})


def _money(case: Case, found: dict[str, Any]) -> Iterable[Note]:
    for field in ("hours_saved_paid", "line_crew", "budget", "mask_places"):
        if getattr(case.money, field) is None:
            yield Note(code=f"{field}_missing")
    for item in ("overhaul", "replacement"):
        cost, year = (getattr(case.money, f"{item}_{part}") for part in ("cost", "year"))
        if cost.high > 0 and not 1 <= year <= case.money.years:
            yield Note(code=f"{item}_year_missing")
    if case.money.lease_buyout > 0 and not 1 <= case.money.lease_years <= case.money.years:
        yield Note(code="lease_years_missing")
    if case.money.tax_rate and case.money.depreciation is None:
        yield Note(code="depreciation_missing")
    if case.money.tax_rate:
        yield Note(code="ask_an_accountant")
        if any("mask_replacement" in row.parts for row in found["cash_flow"]):
            yield Note(code="masks_capitalised" if case.money.masks_capitalised else "masks_expensed")
    if case.money.injury_cost_per_year.high > 0:
        yield Note(code="injury_on")


def _counts(scrap: Iterable[ScrapFinding]) -> Iterable[Note]:
    for row in scrap:
        if not row.counts:
            yield Note(code="scrap_cannot_tell", blanks={"pattern": row.pattern, "more": row.more_castings})


def _ways(rows: Iterable[Alternative]) -> Iterable[Note]:
    for row in rows:
        if not row.timed:
            yield Note(code="way_not_timed", blanks={"way": row.name})
