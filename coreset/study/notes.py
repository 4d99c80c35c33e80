"""What a reader of a standard must be told: of its readings, its clock, its rater, its header, its signature."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from coreset.case import Study
from coreset.case.signature import signature_state
from coreset.case.study import LEAST_RATING, LONGEST_ELEMENT_S, SHORTEST_CYCLE_S
from coreset.study.allowances import AppliedAllowances
from coreset.study.cycle_sums import Sums
from coreset.study.element_times import Timed
from coreset.study.header import lacking
from coreset.study.time_balance import Balance

EXCLUDED_LIMIT = 0.05
"""Share of readings set aside above which the reader is told: common practice, no source."""
FEW_CYCLES = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyNote:
    """What the reader must be told: a code and the blanks of its sentence."""

    code: str
    blanks: dict[str, Any] = field(default_factory=dict)


def notes(
    study: Study, timed: Timed, found: Sums, *, closing: Balance, allowances: AppliedAllowances, rater_from: str
) -> Iterator[StudyNote]:
    """What a reader of the standard must be told.

    Parameters
    ----------
    study : Study
        Its header, elements, signature.
    timed : Timed
        Readings as element times, those set aside marked.
    found : Sums
        Complete cycles.
    closing : Balance
        Whether the recorded times add up to the wall clock.
    allowances : AppliedAllowances
        With notes of their own.
    rater_from : str
        What the rater's error rests on; "assumed" is told.
    """
    at = {"study": study.study}
    yield from (StudyNote(code=code, blanks=at | blanks) for code, blanks in _of_readings(study, timed, found, closing))
    yield from (StudyNote(code=code, blanks=at) for code in allowances.notes)
    if rater_from == "assumed" and any(e.kind == "manual" for e in study.elements):
        yield StudyNote(code="rater_assumed", blanks=at)
    if not study.consent:
        yield StudyNote(code="no_consent", blanks=at)
    if lacks := len([name for name in lacking(study) if name != "consent"]):
        yield StudyNote(code="header_lacks", blanks=at | {"count": lacks})
    if study.clock_trouble:
        yield StudyNote(code="clock_trouble", blanks=at)
    if signature_state(study) == "broken":
        yield StudyNote(code="signature_broken", blanks=at)


def _of_readings(study: Study, timed: Timed, found: Sums, closing: Balance) -> Iterator[tuple[str, dict[str, Any]]]:
    if not closing.closes:
        yield "unaccounted", {"percent": closing.unaccounted_pct}
    if not closing.from_clock and study.timing == "snapback":
        yield "no_clock", {}
    share = float(timed.excluded[~timed.foreign].mean())
    if share > EXCLUDED_LIMIT:
        yield "excluded_many", {"percent": 100 * share}
    if timed.failed.any():
        yield "failed_tries", {"count": int(timed.failed.sum())}
    if found.whole.sum() < FEW_CYCLES:
        yield "few_cycles", {"count": int(found.whole.sum())}
    yield from _implausible(study, timed, found)
    for i, element in enumerate(study.elements):
        if not found.bottom[:, i].any():
            yield "element_unseen", {"element": element.name}


def _implausible(study: Study, timed: Timed, found: Sums) -> Iterator[tuple[str, dict[str, Any]]]:
    """Figures that no study has, and that were likely typed in another unit."""
    rated = np.nan_to_num(timed.rating, nan=LEAST_RATING)
    if low := int((timed.good & (rated < LEAST_RATING)).sum()):
        yield "ratings_low", {"count": low}
    long = timed.good & (np.nan_to_num(timed.seconds) > LONGEST_ELEMENT_S)
    if long.any():
        names = dict.fromkeys(study.elements[place].name for place in timed.element[long])
        yield "element_long", {"element": ", ".join(names)}
    cycles = found.observed[found.whole].sum(axis=1)
    if len(cycles) and 0 < cycles.mean() < SHORTEST_CYCLE_S:
        yield "cycle_short", {}
