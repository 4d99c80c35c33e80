"""Case parts and rows put together (opening) and taken apart (keeping)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from sqlalchemy import Connection

from coreset.book import documents, rows
from coreset.book.plain import plain
from coreset.book.presses import Press, taken, timed
from coreset.case import Case, Reading, Study
from coreset.errors import BookError

SITTING = "{study}.{number}"
"""Code of what a further device timed under the same study."""


def with_rows(connection: Connection, case_id: str, case: Case) -> Case:
    """The case with the readings, corrections and signatures that the book holds for its studies."""
    typed, made = rows.typed(connection, case_id), rows.corrections(connection, case_id)
    sittings, signed = rows.sittings(connection, case_id), rows.signatures(connection, case_id)
    studies: list[Study] = []
    for study in case.studies:
        own = [replace(study, readings=typed[study.study])] if study.study in typed else []
        sat = _sat(study, list(sittings.get(study.study, {}).values()))
        studies += [_numbered(one, number) for number, one in enumerate(own + sat, start=1)] or [study]
    finished = (replace(s, corrections=made.get(s.study, ()), signed=signed.get(s.study, s.signed)) for s in studies)
    return replace(case, studies=tuple(finished))


def _sat(study: Study, sittings: list[list[Press]]) -> list[Study]:
    """The study as each device timed it, in the order they began."""
    counted = {e.name for e in study.elements if e.per_mold is not None or e.occasional}
    return [timed(study, taken(sat, timing=study.timing, counted=counted)) for sat in sittings]


def _numbered(study: Study, number: int) -> Study:
    """The first under the study's own code, each further one under a code of its own."""
    return study if number == 1 else replace(study, study=SITTING.format(study=study.study, number=number))


def add_rows(connection: Connection, case_id: str, case: Case) -> Case:
    """Store the readings, corrections and signatures that a case brings; the case without what is rows alone.

    Raises
    ------
    BookError
        If a stored reading, or a signed study, would change.
    """
    sittings = rows.sittings(connection, case_id)
    typed = rows.typed(connection, case_id)
    further = {
        SITTING.format(study=study, number=number)
        for study, devices in sittings.items()
        for number in range(2, len(devices) + 1 + (study in typed))
    }
    kept = tuple(s for s in case.studies if s.study not in further)
    _refuse_changed_signed(connection, case_id, replace(case, studies=kept))
    held = rows.typed(connection, case_id)
    for study in case.studies:
        if study.study not in sittings and study.study not in further:
            _add_typed(connection, case_id, study, {r.seq: r for r in held.get(study.study, ())})
        rows.correct(connection, case_id, study.study, study.corrections)
    rows.sign_as_read(connection, case_id, kept)
    return replace(case, studies=kept)


def _refuse_changed_signed(connection: Connection, case_id: str, case: Case) -> None:
    signed = rows.signatures(connection, case_id)
    if not signed:
        return
    held = documents.parts_at(connection, case_id, documents.shown(connection, case_id))
    new = documents.split(plain(case))
    made = rows.corrections(connection, case_id)
    for study in case.studies:
        name = documents.STUDY + study.study
        more = set(study.corrections) - set(made.get(study.study, ()))
        if study.study in signed and ((name in held and _header(new[name]) != _header(held[name])) or more):
            rows.unlocked(connection, case_id, study.study)


CLOCKED = (
    "date",
    "clock_in",
    "clock_out",
    "elapsed_before_s",
    "elapsed_after_s",
    "taken_with",
    "origin",
    "clock_trouble",
)
"""Fields of the header that a clock fills in."""


def _header(body: dict) -> dict:
    return {name: value for name, value in body.items() if name not in CLOCKED}


def _add_typed(connection: Connection, case_id: str, study: Study, held: Mapping[int, Reading]) -> None:
    if len(set(study.readings.seq)) != len(study.readings):
        raise BookError(f"readings of study {study.study!r} must have a seq each, got one twice")
    changed = [r.seq for r in study.readings if r.seq in held and not _same(r, held[r.seq])]
    if changed:
        raise BookError(
            f"reading {changed[0]} of study {study.study!r} must stay as stored, got another value: correct it instead"
        )
    new = [r for r in study.readings if r.seq not in held]
    if new:
        rows.unlocked(connection, case_id, study.study)
    place = {"case_id": case_id, "study": study.study, "received": rows.received()}
    rows.add_once(connection, [rows.reading_row(r, **place) for r in new])


def _same(one: Reading, other: Reading) -> bool:
    return all(
        a == b or (isinstance(a, float) and math.isnan(a) and math.isnan(b)) for a, b in zip(one, other, strict=True)
    )
