"""A new version of a study: everything under it copied to a code of its own, the old one left as it is."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Connection, Table, insert, select

from coreset.errors import BookError
from coreset.store.book import documents, rows, sessions
from coreset.store.book.schema import CORRECTION, READING, SESSION


def open_version(connection: Connection, case_id: str, code: str, **stamp: str) -> str:
    """Open a changeable copy of a study in its place, with the presses and corrections of all its sessions.

    Parameters
    ----------
    code : str
        The study, or a session of it.
    stamp
        who, at, why.

    Returns
    -------
    str
        Code of the new study.

    Raises
    ------
    BookError
        If the case has no such study.
    """
    parts = documents.parts_at(connection, case_id, documents.shown(connection, case_id))
    ground = parts[documents.GROUND]
    study = sessions.whole(code, ground["studies"])
    if study not in ground["studies"]:
        raise BookError(f"study must be one of the case, got {code!r}")
    new = next_code(study, documents.study_codes(connection, case_id))
    body = parts.pop(documents.STUDY + study)
    note = "; ".join(filter(None, (body.get("note", ""), f"new version of {study}")))
    parts[documents.STUDY + new] = body | {"study": new, "note": note}
    count = len(rows.presses_by_session(connection, case_id).get(study, {})) + (
        study in rows.typed(connection, case_id)
    )
    old_codes = sessions.codes(study, count, ground["studies"])
    ground["studies"] = [new if one == study else one for one in ground["studies"]]
    new_codes = sessions.codes(new, count, ground["studies"])
    for table in (SESSION, READING):
        _copy(connection, table, case_id, {study: new})
    _copy(connection, CORRECTION, case_id, dict(zip(old_codes, new_codes, strict=True)), but="id")
    documents.write(connection, case_id, parts, documents.head(connection, case_id), **stamp)
    return new


def _copy(connection: Connection, table: Table, case_id: str, codes: dict[str, str], *, but: str = "") -> None:
    of_study = select(table).where(table.c.case_id == case_id, table.c.study.in_(codes))
    found = [dict(row) for row in connection.execute(of_study.order_by(*table.primary_key.columns)).mappings()]
    copies = [
        {name: value for name, value in row.items() if name not in ("act", but)} | {"study": codes[row["study"]]}
        for row in found
    ]
    if copies:
        connection.execute(insert(table), copies)


def next_code(study: str, taken: Collection[str]) -> str:
    """The code with its version counted up.

    Examples
    --------
    >>> next_code("S1", {"S1"}), next_code("S1-v2", {"S1", "S1-v2", "S1-v3"})
    ('S1-v2', 'S1-v4')
    """
    stem, version = _version(study)
    while f"{stem}-v{version + 1}" in taken:
        version += 1
    return f"{stem}-v{version + 1}"


def newest_version(study: str, held: Collection[str]) -> str:
    """The study itself where it is held, else its newest version that is; empty if none is.

    Examples
    --------
    >>> newest_version("S1", ["S1-v2", "S1-v10", "S2"]), newest_version("S2", ["S2"]), newest_version("S3", ["S2"])
    ('S1-v10', 'S2', '')
    """
    stem, version = _version(study)
    later = {_version(one)[1]: one for one in held if _version(one)[0] == stem and _version(one)[1] > version}
    return study if study in held else later[max(later)] if later else ""


def _version(study: str) -> tuple[str, int]:
    stem, _, count = study.rpartition("-v")
    return (stem, int(count)) if stem and count.isdecimal() else (study, 1)
