"""Sessions of a study: their codes, the study each belongs to, and the signature that locks all of them."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from sqlalchemy import Connection, insert, select

from coreset.case import Correction, Readings, Study
from coreset.case.signature import signed_content, signer
from coreset.errors import BookError
from coreset.store.book import documents
from coreset.store.book.presses import Press
from coreset.store.book.schema import SIGNATURE

FURTHER = "{study}.{number}"
"""Code of what a further device timed under the same study."""


def codes(study: str, count: int, taken: Collection[str]) -> tuple[str, ...]:
    """Codes of the sessions: the first has the study's own, further ones are numbered past codes that are taken.

    Parameters
    ----------
    study : str
        The study.
    count : int
        Sessions it has.
    taken : collection of str
        Codes that other studies have.

    Examples
    --------
    >>> codes("S1", 3, {"S1", "S1.2"})
    ('S1', 'S1.3', 'S1.4')
    """
    found, number = [study], 2
    while len(found) < count:
        code = FURTHER.format(study=study, number=number)
        number += 1
        if code not in taken:
            found.append(code)
    return tuple(found)


def whole(code: str, studies: Collection[str]) -> str:
    """The study that a session is of; the code itself where it is one of the studies.

    Examples
    --------
    >>> whole("S1.2", {"S1"}), whole("S1.2", {"S1", "S1.2"})
    ('S1', 'S1.2')
    """
    stem, _, number = code.rpartition(".")
    return stem if code not in studies and number.isdigit() and stem in studies else code


def signatures(connection: Connection, case_id: str) -> dict[str, str]:
    """Code and time of the signature by study; one on a session is one on the whole study."""
    found = {row.study: row for row in connection.execute(select(SIGNATURE).where(SIGNATURE.c.case_id == case_id))}
    if not found:
        return {}
    studies = documents.study_codes(connection, case_id)
    by_study: dict[str, str] = {}
    for code in sorted(found, key=len):
        by_study.setdefault(whole(code, studies), f"{found[code].who} {found[code].at}")
    return by_study


def unlocked(connection: Connection, case_id: str, code: str) -> None:
    """Nothing, unless the study, or the one that the session is of, is signed.

    Parameters
    ----------
    code : str
        The study, or a session of it.

    Raises
    ------
    BookError
        If it is signed.
    """
    signed = signatures(connection, case_id)
    if not signed:
        return
    study = whole(code, documents.study_codes(connection, case_id))
    if study in signed:
        raise BookError(
            f"study {study!r} must be open to be changed, got one signed by {signed[study]}: open a new version of it"
        )


def contents(connection: Connection, case_id: str) -> dict[str, dict[str, str]]:
    """Hash of each session as it was signed, by study; a study that was signed without is not there."""
    stated = SIGNATURE.c.case_id == case_id, SIGNATURE.c.content.is_not(None)
    return {row.study: json.loads(row.content) for row in connection.execute(select(SIGNATURE).where(*stated))}


def sign(connection: Connection, case_id: str, study: str, **stamp: str) -> None:
    """Sign a study, with every session of it; `stamp` is who, at and content.

    Parameters
    ----------
    study : str
        The study.
    stamp
        who, at, content.

    Raises
    ------
    BookError
        If it is signed already.
    """
    unlocked(connection, case_id, study)
    connection.execute(insert(SIGNATURE).values(case_id=case_id, study=study, **stamp))


def sign_as_read(connection: Connection, case_id: str, studies: Iterable[Study]) -> None:
    """Take over signatures that came with a case ('code time', with a hash or without), where the book has none yet.

    Parameters
    ----------
    studies : iterable of Study
        Studies of the case; those without a signature are passed over.
    """
    held = signatures(connection, case_id)
    for study in studies:
        if study.signed and study.study not in held:
            who, _, at = signer(study.signed).partition(" ")
            stated = signed_content(study.signed)
            content = None if stated is None else json.dumps({study.study: stated})
            row = {"case_id": case_id, "study": study.study, "who": who, "at": at, "content": content}
            connection.execute(insert(SIGNATURE).values(row))


def names_now(study: Study) -> Mapping[str, str]:
    """Earlier names of elements with what they are called now; a name that an element has now is none."""
    now = {element.name for element in study.elements}
    return {old: element.name for element in study.elements for old in element.earlier if old not in now}


def presses_now(presses: Iterable[Press], names: Mapping[str, str]) -> list[Press]:
    """Presses with the names that their elements have now; the rows themselves stay as they were taken."""
    return [replace(p, element=names[p.element]) if p.element in names else p for p in presses]


def readings_now(readings: Readings, names: Mapping[str, str]) -> Readings:
    """Typed readings with the names that their elements have now."""
    return replace(readings, element=tuple(names.get(n, n) for n in readings.element)) if names else readings


def corrections_now(made: Iterable[Correction], names: Mapping[str, str]) -> tuple[Correction, ...]:
    """Corrections whose new label is an element's earlier name, with what it is called now."""
    return tuple(replace(c, value=names.get(c.value, c.value)) if c.action == "relabel" else c for c in made)
