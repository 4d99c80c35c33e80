"""Readings, corrections and signatures as rows that are only ever added."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Insert, insert, select
from sqlalchemy.dialects.postgresql import insert as postgres_insert
from sqlalchemy.dialects.sqlite import insert as sqlite_insert

from coreset.book.presses import Press
from coreset.book.schema import CORRECTION, READING, SIGNATURE
from coreset.case import Correction, Reading, Readings, Study
from coreset.errors import BookError

TABLE = ""
"""Device of readings that were typed or imported."""
PRESS_FIELDS = ("seq", "kind", "cycle", "element", "clock_s", "wall_ms", "rating", "target", "note")


def add_once(connection: Connection, rows: Sequence[dict[str, Any]]) -> None:
    """Store readings; those that are there already (same study, device and seq) stay as they are."""
    if rows:
        connection.execute(_once(connection), rows)


def _once(connection: Connection) -> Insert:
    of_dialect = {"sqlite": sqlite_insert, "postgresql": postgres_insert}[connection.dialect.name]
    return of_dialect(READING).on_conflict_do_nothing()


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


def sittings(connection: Connection, case_id: str) -> dict[str, dict[str, list[Press]]]:
    """Presses of a case by study and device, devices in the order they began."""
    found = connection.execute(
        select(READING)
        .where(READING.c.case_id == case_id, READING.c.device != TABLE)
        .order_by(READING.c.study, READING.c.wall_ms, READING.c.seq)
    )
    by_study: dict[str, dict[str, list[Press]]] = {}
    for row in found:
        press = Press(**{name: getattr(row, name) for name in PRESS_FIELDS})
        by_study.setdefault(row.study, {}).setdefault(row.device, []).append(press)
    return by_study


def typed(connection: Connection, case_id: str) -> dict[str, Readings]:
    """Typed and imported readings of a case by study, in their order."""
    found = connection.execute(
        select(READING)
        .where(READING.c.case_id == case_id, READING.c.device == TABLE)
        .order_by(READING.c.study, READING.c.seq)
    )
    by_study: dict[str, list[Reading]] = {}
    for r in found:
        reading = Reading(r.seq, r.cycle, r.element, _read(r.clock_s), _read(r.rating), r.mark, r.note)
        by_study.setdefault(r.study, []).append(reading)
    return {study: Readings.of(rows) for study, rows in by_study.items()}


def corrections(connection: Connection, case_id: str) -> dict[str, tuple[Correction, ...]]:
    """Corrections of a case by study, in the order they were made."""
    found = connection.execute(select(CORRECTION).where(CORRECTION.c.case_id == case_id).order_by(CORRECTION.c.id))
    by_study: dict[str, tuple[Correction, ...]] = {}
    for r in found:
        made = Correction(seq=r.seq, action=r.action, value=r.value, who=r.who, when=r.at, why=r.why)
        by_study[r.study] = (*by_study.get(r.study, ()), made)
    return by_study


def correct(connection: Connection, case_id: str, study: str, made: Iterable[Correction]) -> None:
    """Add corrections that are not there yet."""
    held = corrections(connection, case_id).get(study, ())
    rows = [
        {"case_id": case_id, "study": study, "seq": c.seq, "action": c.action, "value": c.value}
        | {"who": c.who, "at": c.when, "why": c.why}
        for c in made
        if c not in held
    ]
    if rows:
        connection.execute(insert(CORRECTION), rows)


def signatures(connection: Connection, case_id: str) -> dict[str, str]:
    """Code and time of the signature by study."""
    found = connection.execute(select(SIGNATURE).where(SIGNATURE.c.case_id == case_id))
    return {row.study: f"{row.who} {row.at}" for row in found}


def unlocked(connection: Connection, case_id: str, study: str) -> None:
    """Nothing, unless the study is signed.

    Raises
    ------
    BookError
        If it is signed.
    """
    signed = signatures(connection, case_id).get(study)
    if signed:
        raise BookError(
            f"study {study!r} must be open to be changed, got one signed by {signed}: open a new version of it"
        )


def received() -> str:
    """This moment, UTC, ISO 8601: when a row came in."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def sign_as_read(connection: Connection, case_id: str, studies: Iterable[Study]) -> None:
    """Take over signatures that came with a case ('code time'), where the book has none yet."""
    held = signatures(connection, case_id)
    for study in studies:
        if study.signed and study.study not in held:
            who, _, at = study.signed.partition(" ")
            connection.execute(insert(SIGNATURE).values(case_id=case_id, study=study.study, who=who, at=at))
