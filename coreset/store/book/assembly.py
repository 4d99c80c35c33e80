"""Case parts and rows put together, as a case is opened; what is set apart from a study, and what becomes of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sqlalchemy import Connection

from coreset.case import Case, Correction, Study
from coreset.case.signature import MARK
from coreset.errors import BookError
from coreset.store.book import documents, late, rows, sessions
from coreset.store.book import set_apart as apart
from coreset.store.book.plain import built
from coreset.store.book.presses import Press, taken, timed


def with_rows(connection: Connection, case_id: str, case: Case) -> Case:
    """The case with the readings, corrections and signatures that the book holds for its studies.

    Parameters
    ----------
    case : Case
        Built from its parts.
    """
    typed, made = rows.typed(connection, case_id), rows.corrections(connection, case_id)
    sat, signed = rows.presses_by_session(connection, case_id), sessions.signatures(connection, case_id)
    contents = sessions.contents(connection, case_id)
    decided = apart.decisions(connection, case_id)
    held = {study.study for study in case.studies}
    studies: list[Study] = []
    for study in case.studies:
        names = sessions.names_now(study)
        own = [sessions.readings_now(typed[study.study], names)] if study.study in typed else []
        found = [replace(study, readings=readings) for readings in own]
        for fit, misfit in _fitted(study, sat.get(study.study, {}), decided.get(study.study, {})):
            read = taken(fit, timing=study.timing)
            found.append(timed(study, replace(read, trouble=(*read.trouble, *apart.left_out(misfit)))))
        for code, one in zip(sessions.codes(study.study, len(found) or 1, held), found or [study], strict=True):
            changes = sessions.corrections_now(made.get(code, ()), names)
            signature = signed.get(study.study, study.signed)
            if study.study in contents:  # a session that came after the signature has no hash there: broken
                signature += MARK + contents[study.study].get(code, "none")
            studies.append(replace(one, study=code, corrections=changes, signed=signature))
    return replace(case, studies=tuple(studies))


def _fitted(
    study: Study, devices: Mapping[str, Sequence[Press]], decided: apart.Decided
) -> list[tuple[list[Press], list[apart.Apart]]]:
    """Presses of each device that can be read, and those set apart."""
    names, elements = sessions.names_now(study), [element.name for element in study.elements]
    now = {at: replace(made, value=_named(made.value, names)) for at, made in decided.items()}
    return [
        apart.fitted(sessions.presses_now(presses, names), elements, now, device=device)
        for device, presses in devices.items()
    ]


def _named(value: str, names: Mapping[str, str]) -> str:
    """The value of a decision with the name that its element has now."""
    device, _, element = value.partition(" ")
    return f"{device} {names.get(element, element)}"


def set_apart(connection: Connection, case_id: str, study: Study) -> list[apart.Apart]:
    """Presses of a study that do not fit it, session after session, and those that came after it was signed.

    Parameters
    ----------
    study : Study
        Header and elements as they hold now.
    """
    devices = rows.presses_by_session(connection, case_id).get(study.study, {})
    decided = apart.decisions(connection, case_id).get(study.study, {})
    misfits = [one for _, misfit in _fitted(study, devices, decided) for one in misfit]
    return [*misfits, *late.late(connection, case_id, study.study, decided)]


def study_now(connection: Connection, case_id: str, code: str) -> Study:
    """Header and elements of a study as they hold now.

    Parameters
    ----------
    code : str
        The study.

    Raises
    ------
    BookError
        If the case has no such study.
    """
    held = documents.parts_at(connection, case_id, documents.shown(connection, case_id))
    found = next((s for s in built(documents.join(held), case_id=case_id).studies if s.study == code), None)
    if found is None:
        raise BookError(f"study must be one of the case, got {code!r}")
    return found


def settle(
    connection: Connection, case_id: str, code: str, place: tuple[str, int], decision: tuple[str, str], **by: str
) -> None:
    """Assign a press that is set apart to an element, exclude it, or take in a session that came too late.

    Parameters
    ----------
    code : str
        The study, or the removed one that a session came for.
    place : tuple of str and int
        Device and seq of the press.
    decision : tuple of str
        `assign`, `set_apart` or `take_in`, and the element; for a removed study the study that takes the session in.
    by
        who and why.

    Raises
    ------
    BookError
        If no such press is set apart, the element is not the study's, the study that takes it in is signed or not
        there, or who or why is empty.
    """
    who, why = by.get("who", "").strip(), by.get("why", "").strip()
    if not who or not why:
        raise BookError("a decision must have who and why, got an empty one")
    here = code in documents.studies_now(connection, case_id)
    study = study_now(connection, case_id, code) if here else None
    waiting = set_apart(connection, case_id, study) if study else _removed(connection, case_id, code)
    one = next((a for a in waiting if (a.device, a.seq) == place), None)
    (device, seq), (action, element) = place, decision
    apart.refuse_decision(one, action, element, [e.name for e in study.elements] if study else ())
    made = Correction(seq=seq, action=action, value=f"{device} {element}", who=who, when=rows.received(), why=why)
    rows.correct(connection, case_id, code, [made])
    if action == apart.TAKE_IN:
        into = code if here else study_now(connection, case_id, element).study
        sessions.unlocked(connection, case_id, into)
        late.take_in(connection, case_id, into, device, made, of="" if here else code)


def _removed(connection: Connection, case_id: str, code: str) -> list[apart.Apart]:
    found = late.removed(connection, case_id, apart.decisions(connection, case_id))
    return [one for one in found if one.study == code]
