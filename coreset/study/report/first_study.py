"""The first run in words: what is done, what comes next, the first standard time."""

from __future__ import annotations

from dataclasses import dataclass

from coreset.case import Case
from coreset.report.numbers import between, borne
from coreset.study.report.practice_case import ENOUGH_CYCLES, NAME, cycles_timed
from coreset.study.standard import standard_of
from coreset.text import say

RESAMPLES = 2_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """One step of the first run: what to do, whether it is done, the page where it is done."""

    words: str
    done: bool
    page: str


def lessons(case: Case, name: str) -> tuple[Lesson, ...]:
    """The steps of the first run, in order."""
    begun = name.startswith(NAME)
    timed = cycles_timed(case) if begun else 0  # of a million readings it takes longer than all else on the page
    done = {"start": begun, "time": begun and timed >= ENOUGH_CYCLES, "read": begun and timed >= ENOUGH_CYCLES}
    pages = {"start": "guide", "time": "timing", "read": "standard"}
    return tuple(
        Lesson(words=say(f"front.guide.{key}", cycles=ENOUGH_CYCLES, timed=timed), done=ok, page=pages[key])
        for key, ok in done.items()
    )


def answer(case: Case, name: str) -> str:
    """Where the first run stands; at its end, the standard time that came out."""
    if not name.startswith(NAME):
        return say("front.guide.begin")
    if cycles_timed(case) < 2:
        return say("front.guide.clock")
    found = standard_of(case, case.studies[0], resamples=RESAMPLES)
    ends = found.standard_low_s, found.standard_high_s
    return say("front.guide.first", value=borne(found.standard_s, *ends, most=1), ends=between(*ends, most=1))
