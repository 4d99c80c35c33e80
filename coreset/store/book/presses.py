"""Presses of a clock -> readings of a study, with what the instrument itself noticed; pure, no database."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from coreset.case import Reading, Readings, Study

KINDS = ("start", "first", "end", "split", "foreign", "missed", "strike", "rate", "note", "stop", "trouble", "video")
"""start: clock in, its note is the local time and the code of who presses; first: first element begins; end:
breakpoint; split: foreign time (or a pause) begins within an element; foreign: it is over; missed: breakpoint not read;
stop: clock out; strike, rate, note: concern the press in `target`; trouble: sleep, clock set, reload; video: the file
that is marked instead of a live job."""
BREAKPOINTS = ("end", "split", "foreign", "missed")
NAN = math.nan


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """One press, as the browser took it.

    `clock_s` runs from the start press on a monotonic clock [s], or is media time from the start mark of a video;
    `wall_ms` is the same moment on the wall clock [ms since 1970]; `target` is the seq that a strike, rating or note
    concerns.
    """

    seq: int
    kind: str
    clock_s: float
    wall_ms: float
    cycle: int = 0
    element: str = ""
    rating: float | None = None
    target: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What a clock brought home."""

    readings: Readings
    clock_in: str = ""
    clock_out: str = ""
    date: str = ""
    elapsed_before_s: float = 0.0
    elapsed_after_s: float = 0.0
    origin: str = ""
    who: str = ""
    trouble: tuple[str, ...] = field(default_factory=tuple)

    @property
    def stopped(self) -> bool:
        """Whether the clock was stopped."""
        return bool(self.clock_out)


def taken(presses: Iterable[Press], *, timing: str) -> Taken:
    """Readings in the form of a study file from the presses of one session.

    Parameters
    ----------
    presses : iterable of Press
        One device, any order.
    timing : str
        continuous: `reading_s` is the clock at the breakpoint, from the start of the first element; snapback: the
        element time itself. [s]

    Returns
    -------
    Taken
        Struck presses are left out; ratings and notes stand with the press that they concern.
    """
    ordered = sorted(presses, key=lambda press: press.seq)
    kept = _settled(ordered)
    first = next((p.clock_s for p in kept if p.kind == "first"), 0.0)
    rows = _continuous(kept, first) if timing == "continuous" else _snapback(kept, first)
    ends = [p.clock_s for p in kept if p.kind in BREAKPOINTS and p.kind != "missed"]
    result = Taken(
        readings=Readings.of(rows),
        elapsed_before_s=first,
        origin=next((p.note for p in kept if p.kind == "video"), ""),
        trouble=tuple(p.note for p in kept if p.kind == "trouble"),
    )
    return _with_wall_clock(result, kept, last_end=ends[-1] if ends else first)


def _settled(ordered: Sequence[Press]) -> list[Press]:
    """Presses that hold: struck ones out, ratings and notes put where they belong."""
    struck = {p.target for p in ordered if p.kind == "strike"}
    settled = {p.seq: p for p in ordered if p.seq not in struck and p.kind not in ("strike", "rate", "note")}
    for press in ordered:
        about = settled.get(press.target) if press.target is not None else None
        if about is None:
            continue
        if press.kind == "rate":
            settled[about.seq] = replace(about, rating=press.rating)
        elif press.kind == "note":
            settled[about.seq] = replace(about, note="; ".join(filter(None, (about.note, press.note))))
    return list(settled.values())


def _row(press: Press, reading_s: float, mark: str) -> Reading:
    rating = NAN if press.rating is None else press.rating
    return Reading(press.seq, press.cycle, press.element, reading_s, rating, mark, press.note)


MARK = {"end": "", "split": "split", "foreign": "foreign", "missed": "missed"}


def _continuous(kept: Sequence[Press], first: float) -> list[Reading]:
    """Readings of a running clock; the part of an element before foreign time goes by the element that ended after."""
    rows: list[Reading] = []
    ended: Press | None = None
    for press in reversed([p for p in kept if p.kind in BREAKPOINTS]):
        if press.kind in ("end", "missed"):
            ended = press
        reading_s = NAN if press.kind == "missed" else press.clock_s - first
        if press.kind == "split" and ended is not None:
            press = replace(press, element=ended.element, cycle=ended.cycle, rating=ended.rating)
        rows.append(_row(press, reading_s, MARK[press.kind]))
    return rows[::-1]


def _snapback(kept: Sequence[Press], first: float) -> list[Reading]:
    """Element times; the two halves of an element around foreign time are one reading."""
    rows, before, half = [], first, 0.0
    for press in (p for p in kept if p.kind in BREAKPOINTS):
        spent, before = press.clock_s - before, press.clock_s
        if press.kind == "split":
            half += spent
        elif press.kind == "foreign":
            rows.append(_row(press, spent, "foreign"))
        else:
            rows.append(_row(press, NAN if press.kind == "missed" else half + spent, MARK[press.kind]))
            half = 0.0
    return rows


def _with_wall_clock(result: Taken, kept: Sequence[Press], *, last_end: float) -> Taken:
    """Clock in is the wall clock at the start; clock out is that plus the monotonic clock, so both agree."""
    start = next((p for p in kept if p.kind == "start"), None)
    stop = next((p for p in kept if p.kind == "stop"), None)
    if start is None:
        return result
    local, _, who = start.note.partition(" ")
    begun = _moment(start, local)
    result = replace(result, clock_in=_time_of_day(begun), date=begun.date().isoformat(), who=who)
    if stop is None:
        return result
    ended = begun + timedelta(seconds=stop.clock_s)
    return replace(result, clock_out=_time_of_day(ended), elapsed_after_s=stop.clock_s - last_end)


def _moment(start: Press, local: str) -> datetime:
    """The wall clock of the start, in the zone of the browser if it wrote one."""
    try:
        return datetime.fromisoformat(local)
    except ValueError:
        return datetime.fromtimestamp(start.wall_ms / 1000.0)


def _time_of_day(moment: datetime) -> str:
    return f"{moment.hour}:{moment:%M:%S}.{moment.microsecond // 1000:03d}"


def timed(study: Study, session: Taken) -> Study:
    """The study with what a clock brought home in the place of what its header says of readings and times."""
    return replace(
        study,
        readings=session.readings,
        date=session.date or study.date,
        clock_in=session.clock_in,
        clock_out=session.clock_out,
        elapsed_before_s=session.elapsed_before_s,
        elapsed_after_s=max(0.0, session.elapsed_after_s),
        taken_by=session.who or study.taken_by,
        taken_with="video" if session.origin else "clock",
        origin=session.origin or study.origin,
        clock_trouble="; ".join(session.trouble),
    )
