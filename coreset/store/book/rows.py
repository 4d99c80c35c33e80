"""Readings and corrections as rows that are only ever added."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, and_, func, insert, select

from coreset.case import Correction, Reading, Readings
from coreset.store.book.mapping import own_insert
from coreset.store.book.presses import Press
from coreset.store.book.schema import AFTER, CORRECTION, READING, SESSION
from coreset.store.book.set_apart import DECISIONS

TABLE = ""
"""Device of readings that were typed or imported."""
PRESS_FIELDS = ("seq", "kind", "cycle", "element", "clock_s", "wall_ms", "rating", "target", "note")


def add_once(connection: Connection, rows: Sequence[dict[str, Any]]) -> None:
    """Store readings; those that are there already (same study, device and seq) stay as they are."""
    if rows:
        connection.execute(own_insert(connection)(READING).on_conflict_do_nothing(), rows)


def press_row(press: Press, **place: str) -> dict[str, Any]:
    """A press as a row; `place` is case_id, study, device, received."""
    return {name: getattr(press, name) for name in PRESS_FIELDS} | {"mark": ""} | place


def reading_row(reading: Reading, **place: str) -> dict[str, Any]:
    """A typed or imported reading as a row; NaN is stored as NULL."""
    return {
        "kind": "reading",
        "clock_s": _stored(reading.reading_s),
        "wall_ms": None,
        "rating": _stored(reading.rating),
        "target": None,
        "device": TABLE,
        **{name: getattr(reading, name) for name in ("seq", "cycle", "element", "mark", "note")},
        **place,
    }


def _stored(value: float) -> float | None:
    return None if math.isnan(value) else value


def _read(value: float | None) -> float:
    return math.nan if value is None else value


def presses_by_session(connection: Connection, case_id: str) -> dict[str, dict[str, list[Press]]]:
    """Presses of a case by study and device, devices in the order in which the book first heard of them.

    That order is a number of the book's own, so that no clock and nothing that comes later changes it: the code of a
    session always means the same presses.
    """
    found = connection.execute(
        select(READING)
        .join(SESSION, and_(*(READING.c[name] == SESSION.c[name] for name in ("case_id", "study", "device"))))
        .where(READING.c.case_id == case_id)
        .order_by(READING.c.study, SESSION.c.number, READING.c.seq)
    )
    by_study: dict[str, dict[str, list[Press]]] = {}
    for row in found:
        press = Press(**{name: getattr(row, name) for name in PRESS_FIELDS})
        by_study.setdefault(row.study, {}).setdefault(row.device, []).append(press)
    return by_study


def number_session(connection: Connection, case_id: str, study: str, device: str) -> None:
    """Give a device its number on a study when the book first hears of it.

    Parameters
    ----------
    study, device : str
        The study, and the device that its readings came from.
    """
    of_study = SESSION.c.case_id == case_id, SESSION.c.study == study
    if connection.scalar(select(SESSION.c.number).where(*of_study, SESSION.c.device == device)) is None:
        last = connection.scalar(select(func.max(SESSION.c.number)).where(*of_study)) or 0
        row = {"case_id": case_id, "study": study, "device": device, "number": last + 1}
        connection.execute(insert(SESSION).values(row))


def starter(connection: Connection, case_id: str, study: str, device: str) -> str:
    """Code in the press that started a session, held apart or not; empty where there is none.

    Parameters
    ----------
    study, device : str
        The study, and the device that its readings came from.
    """
    started = select(READING.c.note).where(
        READING.c.case_id == case_id,
        READING.c.study == study,
        READING.c.device.in_((device, device + AFTER)),
        READING.c.kind == "start",
    )
    return (connection.scalar(started.limit(1)) or "").partition(" ")[2]


def typed(connection: Connection, case_id: str) -> dict[str, Readings]:
    """Typed and imported readings of a case by study, in their order."""
    columns = [READING.c[name] for name in ("study", "seq", "cycle", "element", "clock_s", "rating", "mark", "note")]
    found = connection.execute(
        select(*columns)
        .where(READING.c.case_id == case_id, READING.c.device == TABLE)
        .order_by(READING.c.study, READING.c.seq)
    )
    by_study: dict[str, list[list[Any]]] = {}
    for study, *reading in found:
        by_study.setdefault(study, []).append(reading)
    return {study: _readings(rows) for study, rows in by_study.items()}


def _readings(rows: Sequence[Sequence[Any]]) -> Readings:
    seq, cycle, element, clock_s, rating, mark, note = zip(*rows, strict=True)
    times, ratings = (tuple(map(_read, column)) for column in (clock_s, rating))
    return Readings(seq=seq, cycle=cycle, element=element, reading_s=times, rating=ratings, mark=mark, note=note)


def corrections(connection: Connection, case_id: str) -> dict[str, tuple[Correction, ...]]:
    """Corrections of a case by study, in the order they were made."""
    readings = CORRECTION.c.action.not_in(DECISIONS)
    found = connection.execute(
        select(CORRECTION).where(CORRECTION.c.case_id == case_id, readings).order_by(CORRECTION.c.id)
    )
    by_study: dict[str, tuple[Correction, ...]] = {}
    for r in found:
        made = Correction(seq=r.seq, action=r.action, value=r.value, who=r.who, when=r.at, why=r.why)
        by_study[r.study] = (*by_study.get(r.study, ()), made)
    return by_study


def correct(connection: Connection, case_id: str, study: str, made: Iterable[Correction]) -> None:
    """Add corrections.

    Parameters
    ----------
    study : str
        The study, or a session of it.
    made : iterable of Correction
        New corrections; none is looked at twice.
    """
    rows = [
        {"case_id": case_id, "study": study, "seq": c.seq, "action": c.action, "value": c.value}
        | {"who": c.who, "at": c.when, "why": c.why}
        for c in made
    ]
    if rows:
        connection.execute(insert(CORRECTION), rows)


def received() -> str:
    """This moment, UTC, ISO 8601: when a row came in."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def today() -> str:
    """This day, UTC, as a case writes it: 2026-03-31."""
    return datetime.now(UTC).date().isoformat()
