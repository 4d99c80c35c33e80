"""Presses that come after their study was signed or removed: held apart, and taken into a study or left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sqlalchemy import Connection, select

from coreset.case import Correction
from coreset.errors import BookError
from coreset.store.book import documents, rows, sessions
from coreset.store.book.presses import Press
from coreset.store.book.schema import AFTER, READING
from coreset.store.book.set_apart import TAKE_IN, Apart, Decided
from coreset.store.book.versions import newest_version

REASON = "came after the study was signed or removed, the last of {count} of this session"


def hold(connection: Connection, case_id: str, code: str, device: str, presses: Sequence[Press]) -> bool:
    """Store presses for a signed or removed study apart from it; False if the case never held that study.

    Those of a signed study stand with the version that the case holds now, those of a removed one under its own code.
    Those that were stored before stay what they are.

    Parameters
    ----------
    code : str
        The study.
    device : str
        Where the presses came from.
    presses : sequence of Press
        In the order sent.

    Raises
    ------
    BookError
        If the study is there and not signed.
    """
    now = documents.studies_now(connection, case_id) if documents.head(connection, case_id) else ()
    if code in now and code not in sessions.signatures(connection, case_id):
        raise BookError(f"study {code!r} must be signed for its readings to be held apart, got an open one")
    study = newest_version(code, now) or (code if documents.once_held(connection, case_id, code) else "")
    if study:
        place = {"case_id": case_id, "study": study, "device": device + AFTER, "received": rows.received()}
        known = {press.seq for of in (code, study) for press in _presses(connection, case_id, of, device)}
        rows.add_once(connection, [rows.press_row(press, **place) for press in presses if press.seq not in known])
    return bool(study)


def late(connection: Connection, case_id: str, study: str, decided: Decided) -> list[Apart]:
    """Presses that are held apart from a study and not taken in: one entry a session, at its last press.

    What was decided about a session no longer holds once more of it comes.

    Parameters
    ----------
    study : str
        The study.
    decided : Decided
        Decisions on the study, by device and seq.
    """
    return [
        _entry(study, device, waiting, decided)
        for device in _devices(connection, case_id, study)
        for waiting in [_waiting(connection, case_id, study, device)]
        if waiting
    ]


def removed(connection: Connection, case_id: str, decided: Mapping[str, Decided]) -> list[Apart]:
    """Presses that came for studies which the case no longer holds: one entry a session, at its last press.

    A session that was taken into another study is not there, unless more of it came since.

    Parameters
    ----------
    decided : mapping
        Decisions by study.
    """
    now = documents.studies_now(connection, case_id)
    of_case = READING.c.case_id == case_id, READING.c.device.endswith(AFTER, autoescape=True)
    held = connection.scalars(select(READING.c.study).where(*of_case).distinct().order_by(READING.c.study)).all()
    lost = [code for code in held if not newest_version(code, now)]
    found = [one for code in lost for one in late(connection, case_id, code, decided.get(code, {}))]
    return [one for one in found if one.decision is None or one.decision.action != TAKE_IN]


def _entry(study: str, device: str, waiting: Sequence[Press], decided: Decided) -> Apart:
    last = waiting[-1]
    return Apart(
        device=device,
        seq=last.seq,
        cycle=last.cycle,
        element=last.element,
        clock_s=last.clock_s,
        reason=REASON.format(count=len(waiting)),
        decision=decided.get((device, last.seq)),
        late=len(waiting),
        study=study,
    )


def take_in(connection: Connection, case_id: str, study: str, device: str, made: Correction, *, of: str = "") -> None:
    """Make readings of the presses of a session that are held apart; the first says by whom and why.

    Parameters
    ----------
    study : str
        Study whose readings they become.
    of : str
        The removed study that they came for, whose earlier presses of the session come along; empty if it is `study`.
    """
    own = device.removesuffix(AFTER)
    waiting = _waiting(connection, case_id, of or study, device)
    if of:
        waiting = sorted((*_presses(connection, case_id, of, own), *waiting), key=lambda press: press.seq)
    first, *others = waiting
    said = f"came for study {of}, which was removed" if of else "after the signature"
    note = "; ".join(filter(None, (first.note, f"{said}; taken in by {made.who}: {made.why}")))
    place = {"case_id": case_id, "study": study, "device": own, "received": rows.received()}
    rows.number_session(connection, case_id, study, own)
    rows.add_once(connection, [rows.press_row(one, **place) for one in (replace(first, note=note), *others)])


def _devices(connection: Connection, case_id: str, study: str) -> Sequence[str]:
    of_study = READING.c.case_id == case_id, READING.c.study == study, READING.c.device.endswith(AFTER, autoescape=True)
    return connection.scalars(select(READING.c.device).where(*of_study).distinct().order_by(READING.c.device)).all()


def _waiting(connection: Connection, case_id: str, study: str, device: str) -> list[Press]:
    own = {press.seq for press in _presses(connection, case_id, study, device.removesuffix(AFTER))}
    return [press for press in _presses(connection, case_id, study, device) if press.seq not in own]


def _presses(connection: Connection, case_id: str, study: str, device: str) -> list[Press]:
    of_device = READING.c.case_id == case_id, READING.c.study == study, READING.c.device == device
    found = connection.execute(select(READING).where(*of_device).order_by(READING.c.seq))
    return [Press(**{name: getattr(row, name) for name in rows.PRESS_FIELDS}) for row in found]
