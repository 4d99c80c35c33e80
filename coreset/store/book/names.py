"""Codes that a change brings into the database: each must be able to name a file, in an export or in a link."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Connection, select

from coreset.case import Case
from coreset.case.codes import code_faults, codes_of
from coreset.errors import BookError
from coreset.store.book import documents
from coreset.store.book.assembly import with_rows
from coreset.store.book.plain import built
from coreset.store.book.schema import REVISION


def refuse_new_codes(connection: Connection, case_id: str, case: Case, *, newest: int) -> None:
    """Nothing, if every code that is new in the database can name a file; what it holds already stays usable.

    Parameters
    ----------
    case_id : str
        Name of the case.
    case : Case
        As it is to be stored.
    newest : int
        Newest revision of the case; 0 if the database does not have it.

    Raises
    ------
    BookError
        If the name of a new case, or a new code of a study, pattern or method, cannot.
    """
    if not newest:
        others = set(connection.scalars(select(REVISION.c.case_id).distinct()))
        _refuse("case", code_faults([*others, case_id], others))
    faults = {kind: code_faults(codes) for kind, codes in codes_of(case).items()}
    if newest and any(faults.values()):
        held = codes_of(_held(connection, case_id))
        faults = {kind: code_faults(codes, held[kind]) for kind, codes in codes_of(case).items()}
    for kind, rules in faults.items():
        _refuse(kind, rules)


def _held(connection: Connection, case_id: str) -> Case:
    parts = documents.parts_at(connection, case_id, documents.shown(connection, case_id))
    return with_rows(connection, case_id, built(documents.join(parts), case_id=case_id))


def _refuse(kind: str, rules: Mapping[str, str]) -> None:
    for code, rule in rules.items():
        raise BookError(f"{kind} must have {rule}, got {code[:100]!r}")
