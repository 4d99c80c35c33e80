"""What a case brings that is rows alone: readings, corrections, signatures. Each is added, none is changed."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection

from coreset.case import Case, Correction, Reading, Study
from coreset.case.signature import LEFT_OUT
from coreset.errors import BookError
from coreset.store.book import documents, renames, rows, sessions
from coreset.store.book.plain import built, plain
from coreset.store.book.stamp import typed_now


def add_rows(connection: Connection, case_id: str, case: Case) -> Case:
    """Store the readings, corrections and signatures that a case brings; the case without what is rows alone.

    Parameters
    ----------
    case : Case
        The case as it is to be; further sessions stand in it as studies of their own.

    Raises
    ------
    BookError
        If a stored reading, or a signed study, would change, or an edit would give readings to another element.
    """
    now = documents.studies_now(connection, case_id)
    further = _further(connection, case_id, now)
    kept = tuple(s for s in case.studies if s.study not in further)
    _refuse_changed_signed(connection, case_id, case, further)
    if now:
        held = documents.parts_at(connection, case_id, documents.shown(connection, case_id))
        _refuse_moved(connection, case_id, held, kept, further)
    _add_typed_and_corrections(connection, case_id, case, further)
    sessions.sign_as_read(connection, case_id, kept)
    return replace(case, studies=kept)


def _further(connection: Connection, case_id: str, now: Collection[str]) -> dict[str, str]:
    """Codes of further sessions, each with the study that it is of."""
    typed = rows.typed(connection, case_id)
    return {
        code: study
        for study, devices in rows.presses_by_session(connection, case_id).items()
        if study in now
        for code in sessions.codes(study, len(devices) + (study in typed), now)[1:]
    }


def _add_typed_and_corrections(connection: Connection, case_id: str, case: Case, further: Mapping[str, str]) -> None:
    of_clock = {*rows.presses_by_session(connection, case_id), *further}
    held, made = rows.typed(connection, case_id), rows.corrections(connection, case_id)
    names = {study.study: sessions.names_now(study) for study in case.studies}
    added = 0
    for study in case.studies:
        known = names.get(further.get(study.study, study.study), {})
        if study.study not in of_clock:
            readings = sessions.readings_now(held[study.study], known) if study.study in held else ()
            brought = replace(study, readings=sessions.readings_now(study.readings, known))
            added += _add_typed(connection, case_id, brought, {r.seq: r for r in readings})
        there = sessions.corrections_now(made.get(study.study, ()), known)
        rows.correct(connection, case_id, study.study, _further_than(there, study, known))
    if added:
        typed_now(connection, case_id)


def _further_than(there: Iterable[Correction], study: Study, names: Mapping[str, str]) -> list[Correction]:
    """Corrections that the book does not hold yet; one that was made again, alike to the second, is another one."""
    left = Counter(there)
    further = []
    for one in sessions.corrections_now(study.corrections, names):
        if left[one]:
            left[one] -= 1
        else:
            further.append(one)
    return further


def _refuse_changed_signed(connection: Connection, case_id: str, case: Case, further: Mapping[str, str]) -> None:
    signed = sessions.signatures(connection, case_id)
    if not signed:
        return
    held = _parts_today(connection, case_id, documents.shown(connection, case_id))
    new = documents.split(plain(case))
    made, clocked = rows.corrections(connection, case_id), _clocked(connection, case_id)
    for study in case.studies:
        name = documents.STUDY + study.study
        names = sessions.names_now(study)
        more = _further_than(sessions.corrections_now(made.get(study.study, ()), names), study, names)
        own = study.study not in further and name in held
        changed = own and not _same_header(new[name], held[name], clocked)
        if further.get(study.study, study.study) in signed and (changed or more):
            sessions.unlocked(connection, case_id, study.study)


def _parts_today(connection: Connection, case_id: str, revision: int) -> documents.Parts:
    """Parts of a revision as this version writes them: a field that was added since has its default in them."""
    held = documents.parts_at(connection, case_id, revision)
    return documents.split(plain(built(documents.join(held), case_id=case_id)))


def refuse_undo(connection: Connection, case_id: str) -> None:
    """Nothing, unless going back by one change would change a signed study or leave readings without their element.

    Raises
    ------
    BookError
        If it would.
    """
    line = documents.line_of(connection, case_id, documents.shown(connection, case_id))
    if len(line) < 2:
        return
    now, before = (_parts_today(connection, case_id, revision) for revision in line[:2])
    clocked = _clocked(connection, case_id)
    for study in sessions.signatures(connection, case_id):
        name = documents.STUDY + study
        if now.get(name) and not (before.get(name) and _same_header(now[name], before[name], clocked)):
            sessions.unlocked(connection, case_id, study)
    earlier = built(documents.join(before), case_id=case_id).studies
    _refuse_moved(connection, case_id, now, earlier, _further(connection, case_id, now[documents.GROUND]["studies"]))


def _refuse_moved(
    connection: Connection, case_id: str, held: documents.Parts, studies: Sequence[Study], further: Mapping[str, str]
) -> None:
    before = {s.study: s for s in built(documents.join(held), case_id=case_id).studies}
    for study in studies:
        old = before.get(study.study)
        if old is None or old.elements == study.elements:
            continue
        of_study = [study.study, *(code for code, of in further.items() if of == study.study)]
        used = renames.used_names(connection, case_id, of_study)
        renames.refuse_moved(study.study, old.elements, study.elements, used)


CLOCKED = (
    "date",
    "clock_in",
    "clock_out",
    "elapsed_before_s",
    "elapsed_after_s",
    "taken_by",
    "taken_with",
    "origin",
    "clock_trouble",
)
"""Fields of the header that a clock fills in."""


def _clocked(connection: Connection, case_id: str) -> set[str]:
    """Studies whose header a clock fills in."""
    return set(rows.presses_by_session(connection, case_id)) - set(rows.typed(connection, case_id))


def _same_header(one: Mapping[str, Any], other: Mapping[str, Any], clocked: Collection[str]) -> bool:
    left_out = {*LEFT_OUT, *(CLOCKED if one["study"] in clocked else ())}
    return all(one.get(name) == other.get(name) for name in {*one, *other} if name not in left_out)


def _add_typed(connection: Connection, case_id: str, study: Study, held: Mapping[int, Reading]) -> int:
    """Add the readings that are not there yet; how many."""
    if len(set(study.readings.seq)) != len(study.readings):
        raise BookError(f"readings of study {study.study!r} must have a seq each, got one twice")
    changed = [r.seq for r in study.readings if r.seq in held and not _same(r, held[r.seq])]
    if changed:
        raise BookError(
            f"reading {changed[0]} of study {study.study!r} must stay as stored, got another value: correct it instead"
        )
    new = [r for r in study.readings if r.seq not in held]
    if new:
        sessions.unlocked(connection, case_id, study.study)
    place = {"case_id": case_id, "study": study.study, "received": rows.received()}
    rows.add_once(connection, [rows.reading_row(r, **place) for r in new])
    return len(new)


def _same(one: Reading, other: Reading) -> bool:
    return all(
        a == b or (isinstance(a, float) and math.isnan(a) and math.isnan(b)) for a, b in zip(one, other, strict=True)
    )
