"""Figures that no study has, or that do not fit its kind of timing: each is asked, none is put right silently.

Limits beside those of every study are our own choice: a third or three times what was timed before, ratings outside 30
to 200 of a scale of about 100.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence

from coreset.case import Reading, Readings
from coreset.case.study import LEAST_RATING, LONGEST_ELEMENT_S, SHORTEST_CYCLE_S
from coreset.store.intake.answers import IntakeAnswers

UNLIKE, RATINGS = 3.0, (30.0, 200.0)
HALF_DAY_S, DAY_S = 43_200.0, 86_400.0
FEWEST = 6
"""Readings from which the order of the clock is told."""
RIGHT, FIRST = "right", "first"


def rated(rows: Sequence[Reading], asked: IntakeAnswers) -> list[Reading]:
    """Ratings on the scale: below 2 a share is likely meant, which is asked; far off the scale is asked too."""
    low = [row for row in rows if row.rating < LEAST_RATING]
    if low:
        answer = asked.ask("ratings", ("share", RIGHT), example=f"{low[0].rating:g}", count=len(low))
        if answer == "share":
            rows = [
                row._replace(rating=round(100 * row.rating, 9)) if row.rating < LEAST_RATING else row for row in rows
            ]
    odd = [row.rating for row in rows if not row.rating < LEAST_RATING and not RATINGS[0] <= row.rating <= RATINGS[1]]
    odd = [rating for rating in odd if rating == rating]
    bare = sum(row.rating != row.rating for row in rows)
    if 0 < bare < len(rows):
        asked.tell("ratings_lacking", count=bare)
    if odd:
        asked.ask("odd_ratings", (RIGHT,), example=f"{odd[0]:g}", count=len(odd))
    return list(rows)


def filled(rows: Sequence[Reading], asked: IntakeAnswers) -> list[Reading]:
    """Empty times without a mark: a missed reading, or an element that did not occur."""
    empty = [row for row in rows if math.isnan(row.reading_s) and row.mark != "missed"]
    if not empty:
        return list(rows)
    where = ", ".join(f"{row.element} ({row.cycle})" for row in empty[:3])
    answer = asked.ask("empty", ("missed", "not_done"), count=len(empty), where=where)
    gone = set(empty) if answer == "not_done" else set()
    return [
        row._replace(mark="missed") if math.isnan(row.reading_s) and not row.mark and answer == "missed" else row
        for row in rows
        if row not in gone
    ]


def repeated(rows: Sequence[Reading], asked: IntakeAnswers) -> list[Reading]:
    """An element twice in a cycle: done twice, or written twice, such as a sheet that was pasted below itself."""
    seen: set[tuple[int, str]] = set()
    again = []
    for row in rows:
        key = (row.cycle, row.element)
        if key in seen and row.mark in ("", "missed"):
            again.append(row)
        seen |= {key} if row.mark in ("", "missed") else set()
    if not again:
        return list(rows)
    where = ", ".join(f"{row.element} ({row.cycle})" for row in again[:3])
    answer = asked.ask("repeated", (RIGHT, FIRST), count=len(again), where=where)
    gone = {id(row) for row in again} if answer == FIRST else set()
    return [row for row in rows if id(row) not in gone]


def in_time(rows: Sequence[Reading], timing: str, asked: IntakeAnswers) -> tuple[list[Reading], str]:
    """Readings as the study's timing has them, and the timing: running clocks only rise, element times do not.

    A clock that passed midnight gains a day, which is told. A clock that does not fit the study's header is asked.

    Parameters
    ----------
    rows : sequence of Reading
        In the order taken; `reading_s` is the clock or the element's time. [s]
    timing : str
        "continuous" or "snapback", as the header of the study says.
    asked : IntakeAnswers
        Takes the questions and what is told.
    """
    rows = _past_midnight(rows, asked)
    clock = [row.reading_s for row in rows if row.reading_s == row.reading_s]
    rising = all(a <= b for a, b in zip(clock, clock[1:], strict=False))
    if timing == "continuous" and not rising:
        answer = asked.ask("falls", ("snapback", "each_cycle"), where=_fall(rows))
        return (_each_cycle(rows, asked), "snapback") if answer == "each_cycle" else (rows, answer or timing)
    if timing == "snapback" and rising and len(clock) >= FEWEST and clock[-1] > FEWEST / 2 * clock[0] > 0:
        answer = asked.ask("rises", ("continuous", "snapback"), first=f"{clock[0]:g}", last=f"{clock[-1]:g}")
        return rows, answer or timing
    return rows, timing


def _past_midnight(rows: Sequence[Reading], asked: IntakeAnswers) -> list[Reading]:
    days, last, made = 0.0, -math.inf, []
    for row in rows:
        if last - row.reading_s > HALF_DAY_S and last < DAY_S:
            days, last = DAY_S, -math.inf
            asked.tell("midnight", cycle=row.cycle)
        last = row.reading_s if row.reading_s == row.reading_s else last
        made.append(row._replace(reading_s=row.reading_s + days))
    return made


def _fall(rows: Sequence[Reading]) -> str:
    pairs = zip(rows, rows[1:], strict=False)
    return next((f"{b.element} ({b.cycle})" for a, b in pairs if b.reading_s < a.reading_s), "")


def _each_cycle(rows: Sequence[Reading], asked: IntakeAnswers) -> list[Reading]:
    """Element times where the clock began at 0 in each cycle; after a missed reading the next one is missed too."""
    last: dict[int, float] = defaultdict(float)
    made = []
    for row in rows:
        seconds = round(row.reading_s - last[row.cycle], 9)
        if seconds < 0:
            asked.ask("falls_in_cycle", (), where=f"{row.element} ({row.cycle})")
            return list(rows)
        made.append(row._replace(reading_s=seconds, mark=row.mark or ("missed" if seconds != seconds else "")))
        last[row.cycle] = row.reading_s
    return made


def started(rows: Sequence[Reading], timing: str, start_s: float | None, asked: IntakeAnswers) -> list[Reading]:
    """A clock that shows the time of day, from the start of the first element; the start is asked where it is open.

    Parameters
    ----------
    rows : sequence of Reading
        In the order taken. [s]
    timing : str
        Only a "continuous" clock can show the time of day.
    start_s : float or None
        When the first element began, on that clock; None where nobody said. [s]
    asked : IntakeAnswers
        Takes the question when it began, and what is told.
    """
    clock = [row.reading_s for row in rows if row.reading_s == row.reading_s]
    steps = sorted(b - a for a, b in zip(clock, clock[1:], strict=False))
    if timing != "continuous" or len(steps) < 2 or clock[0] <= max(60.0, 20 * steps[len(steps) // 2]):
        return list(rows)
    if start_s is None or not 0 <= start_s <= clock[0]:
        asked.ask("start", (), first=f"{clock[0]:g}")
        return list(rows)
    asked.tell("offset", start=f"{start_s:g}")
    return [row._replace(reading_s=round(row.reading_s - start_s, 9)) for row in rows]


def element_seconds(rows: Sequence[Reading], timing: str) -> list[float]:
    """Time of each reading: itself, or since the one before; NaN where either was missed. [s]"""
    if timing == "snapback":
        return [row.reading_s for row in rows]
    clock = [0.0, *(row.reading_s for row in rows)]
    return [b - a for a, b in zip(clock, clock[1:], strict=False)]


def sensible(rows: Sequence[Reading], timing: str, known: Mapping[str, float], asked: IntakeAnswers) -> None:
    """Ask about elements of hours, cycles of less than a second, and means far from those timed before.

    Parameters
    ----------
    rows : sequence of Reading
        In the order taken. [s]
    timing : str
        "continuous" or "snapback".
    known : mapping
        Mean time of elements timed before, by name. [s]
    asked : IntakeAnswers
        Takes the questions.
    """
    seconds = element_seconds(rows, timing)
    long = [(s, row) for s, row in zip(seconds, rows, strict=True) if s > LONGEST_ELEMENT_S]
    if long:
        worst, row = max(long, key=lambda one: one[0])
        asked.ask("long", (RIGHT,), element=row.element, cycle=row.cycle, minutes=f"{worst / 60:.0f}", count=len(long))
    cycles: dict[int, float] = defaultdict(float)
    times: dict[str, list[float]] = defaultdict(list)
    for s, row in zip(seconds, rows, strict=True):
        if s == s and row.mark in ("", "split"):
            cycles[row.cycle] += s
            times[row.element].append(s)
    mean = sum(cycles.values()) / len(cycles) if cycles else math.nan
    if mean < SHORTEST_CYCLE_S:
        asked.ask("short", (RIGHT,), seconds=f"{mean:.2g}")
    ratios = {name: sum(t) / len(t) / known[name] for name, t in times.items() if known.get(name, 0.0) > 0}
    unlike = {name: r for name, r in ratios.items() if not 1 / UNLIKE < r < UNLIKE}
    if unlike:
        name, ratio = max(unlike.items(), key=lambda one: abs(math.log(max(one[1], 1e-9))))
        asked.ask("unlike", (RIGHT,), element=name, ratio=f"{ratio:.2g}", before=f"{known[name]:.3g}")


def numbered(rows: Sequence[Reading], asked: IntakeAnswers) -> None:
    """Tell of cycle numbers that are left out."""
    cycles = sorted({row.cycle for row in rows})
    lacking = sorted(set(range(cycles[0], cycles[-1] + 1)) - set(cycles)) if cycles and cycles[-1] < 10_000 else []
    if lacking:
        asked.tell("cycles_lacking", cycles=", ".join(map(str, lacking[:5])))


def renumbered(rows: Sequence[Reading]) -> Readings:
    """Readings with their sequence from 1 on."""
    return Readings.of([row._replace(seq=seq) for seq, row in enumerate(rows, start=1)])
