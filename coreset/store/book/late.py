"""Presses that come after their study was signed: held apart from it, and taken into a new version or left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import Connection, select

from coreset.case import Correction
from coreset.errors import BookError
from coreset.store.book import documents, rows, sessions
from coreset.store.book.presses import Press
from coreset.store.book.schema import AFTER, READING
from coreset.store.book.set_apart import Apart, Decided
from coreset.store.book.versions import newest_version

REASON = "came after the study was signed, the last of {count} of this session"


def hold(connection: Connection, case_id: str, code: str, device: str, presses: Sequence[Press]) -> bool:
    """Store presses for a signed study apart from it; False if the case has neither the study nor a version of it.

    They stand with the version that the case holds now. Those that were stored before the signature stay what they are.

    Raises
    ------
    BookError
        If the study is not signed.
    """
    if code not in sessions.signatures(connection, case_id):
        raise BookError(f"study {code!r} must be signed for its readings to be held apart, got an open one")
    study = newest_version(code, documents.studies_now(connection, case_id))
    if study:
        place = {"case_id": case_id, "study": study, "device": device + AFTER, "received": rows.received()}
        known = {press.seq for of in (code, study) for press in _presses(connection, case_id, of, device)}
        rows.add_once(connection, [rows.press_row(press, **place) for press in presses if press.seq not in known])
    return bool(study)


def late(connection: Connection, case_id: str, study: str, decided: Decided) -> list[Apart]:
    """Presses that are held apart from a study and not taken in: one entry a session, at its last press.

    What was decided about a session no longer holds once more of it comes.
    """
    of_study = READING.c.case_id == case_id, READING.c.study == study, READING.c.device.endswith(AFTER, autoescape=True)
    devices = connection.scalars(select(READING.c.device).where(*of_study).distinct().order_by(READING.c.device))
    return [
        Apart(
            device=device,
            seq=last.seq,
            cycle=last.cycle,
            element=last.element,
            clock_s=last.clock_s,
            reason=REASON.format(count=len(waiting)),
            decision=decided.get((device, last.seq)),
            late=len(waiting),
        )
        for device in devices.all()
        for waiting in [_waiting(connection, case_id, study, device)]
        for last in waiting[-1:]
    ]


def take_in(connection: Connection, case_id: str, study: str, device: str, made: Correction) -> None:
    """Make readings of the presses of a session that are held apart; the first says by whom and why."""
    own = device.removesuffix(AFTER)
    first, *others = _waiting(connection, case_id, study, device)
    note = "; ".join(filter(None, (first.note, f"after the signature; taken in by {made.who}: {made.why}")))
    place = {"case_id": case_id, "study": study, "device": own, "received": rows.received()}
    rows.number_sitting(connection, case_id, study, own)
    rows.add_once(connection, [rows.press_row(one, **place) for one in (replace(first, note=note), *others)])


def _waiting(connection: Connection, case_id: str, study: str, device: str) -> list[Press]:
    own = {press.seq for press in _presses(connection, case_id, study, device.removesuffix(AFTER))}
    return [press for press in _presses(connection, case_id, study, device) if press.seq not in own]


def _presses(connection: Connection, case_id: str, study: str, device: str) -> list[Press]:
    of_device = READING.c.case_id == case_id, READING.c.study == study, READING.c.device == device
    found = connection.execute(select(READING).where(*of_device).order_by(READING.c.seq))
    return [Press(**{name: getattr(row, name) for name in rows.PRESS_FIELDS}) for row in found]
