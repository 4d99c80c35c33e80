"""What a study gives so far, after the clock stopped or at any later moment: cycles, standard, cycles still needed."""

from __future__ import annotations

from typing import NamedTuple

from coreset.case import Case, Study
from coreset.errors import CoresetError
from coreset.report.numbers import SPACE, borne, number
from coreset.rounding import fixed
from coreset.study.sample_size import most_often
from coreset.study.standard import Standard, standard_of
from coreset.text import say

RESAMPLES = 2_000
"""Draws for a standard so far: its interval to about 2 % of its width; the Standard page draws more."""
FEWEST_CYCLES = 2
"""Whole cycles before a standard so far is told: one has no variation to say anything of."""


class ProgressFigure(NamedTuple):
    """One figure: what it is, its value, what it lies between or rests on."""

    what: str
    value: str
    interval: str


class Progress(NamedTuple):
    """Figures of a study so far, what to do next in a sentence, and the cycles still needed (None: not known yet).

    `rests_on`: sentences on the counted frequencies that the cycles needed rest on.
    """

    figures: tuple[ProgressFigure, ...]
    next_words: str
    more: int | None
    rests_on: tuple[str, ...] = ()


def standard_so_far(case: Case, study: Study) -> Standard | None:
    """The standard of a study as far as it is timed; None while too little is known of it."""
    if len(set(study.readings.cycle)) < FEWEST_CYCLES:
        return None
    try:
        found = standard_of(case, study, resamples=RESAMPLES)
    except CoresetError:  # no element is whole yet: the Review side of the page says what is wrong
        return None
    return found if found.cycles >= FEWEST_CYCLES else None


def progress(case: Case, study: Study) -> Progress:
    """What was saved, the standard so far, how many cycles are still needed, and what is next."""
    cycles = len({reading.cycle for reading in study.readings if reading.mark != "foreign"})
    saved = ProgressFigure(
        say("timing.progress.saved"),
        say("timing.progress.readings", count=number(len(study.readings))),
        say("timing.progress.in_cycles", count=number(cycles)),
    )
    found = standard_so_far(case, study)
    if found is None:
        return Progress((saved,), say("timing.progress.next_first", cycles=FEWEST_CYCLES), None)
    more = max(0, found.cycles_needed - found.cycles)
    low, high = found.standard_low_s, found.standard_high_s
    figures = (
        saved,
        ProgressFigure(
            say("timing.progress.standard"),
            f"{borne(found.standard_s, low, high, most=1)}{SPACE}s",
            say("timing.progress.between", low=fixed(low, 1), high=fixed(high, 1), allowance=_allowance(found)),
        ),
        ProgressFigure(
            say("timing.progress.needed"),
            say("timing.progress.none_needed") if more == 0 else number(more),
            say("timing.progress.precision", cycles=number(found.cycles)),
        ),
    )
    next_words = say("timing.progress.next_more", more=number(more)) if more else say("timing.progress.next_review")
    return Progress(figures, next_words, more, counted_sentences(found))


def counted_sentences(found: Standard | None) -> tuple[str, ...]:
    """What the cycles needed rest on where a frequency was counted by the study itself, and what they leave out."""
    errors = found.errors if found is not None else None
    if found is None or errors is None:
        return ()
    said, seen, n = [], [], errors.cycles
    for name, counted, happened in zip(errors.names, errors.counted, errors.happened, strict=True):
        blanks = {"element": name, "times": number(happened), "cycles": number(n)}
        blanks["every"] = borne(every := 1 / most_often(float(happened), n), every, every, most=1)
        if counted and not happened:
            said.append(say("timing.progress.never", **blanks))
        elif counted:
            seen.append(say("timing.progress.counted", **blanks))
    if seen and found.cycles_needed_most > found.cycles_needed:
        ends = {"needed": number(found.cycles_needed), "most": number(found.cycles_needed_most)}
        said.append(say("timing.progress.rests_on", counts="; ".join(seen), **ends))
    return (*said, say("timing.progress.state_it")) if said else ()


def _allowance(found: Standard) -> str:
    """The allowance in the standard, or that none was entered."""
    if not found.allowance_lines:
        return say("timing.progress.no_allowance")
    return say("timing.progress.allowance", percent=fixed(found.allowance_pct, 1))


def with_all(found: Standard) -> str:
    """A sentence: the standard so far, and what it would be with the excluded readings."""
    return say("study.judge.with_all", value=fixed(found.standard_s, 1), with_all=fixed(found.with_all_s, 1))
