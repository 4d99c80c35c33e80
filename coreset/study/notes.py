"""What a reader of a standard must be told: of its readings, its clock, its rater, its header, its signature."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from coreset.case import Study
from coreset.case.signature import signature_state
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
    study: Study, timed: Timed, found: Sums, closing: Balance, told: tuple[AppliedAllowances, str]
) -> Iterator[StudyNote]:
    """What a reader of the standard must be told."""
    at, (allow, rater_from) = {"study": study.study}, told
    yield from (StudyNote(code=code, blanks=at | blanks) for code, blanks in _of_readings(study, timed, found, closing))
    yield from (StudyNote(code=code, blanks=at) for code in allow.notes)
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
    for i, element in enumerate(study.elements):
        if not found.bottom[:, i].any():
            yield "element_unseen", {"element": element.name}
