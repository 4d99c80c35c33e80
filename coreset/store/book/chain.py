"""The rows of a case as a chain: each act has a hash of its rows and of the act before it."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import (
    BindParameter,
    Connection,
    Table,
    bindparam,
    delete,
    exists,
    insert,
    literal,
    select,
    union_all,
    update,
)

from coreset.store.book.schema import ACT, CORRECTION, PART, READING, REVISION, SESSION, SIGNATURE

TABLES = (REVISION, PART, READING, SESSION, CORRECTION, SIGNATURE)
"""Tables whose rows belong to an act, by their column `act`."""
STRAY = -1
"""Act of rows that belong to none."""
Hashes = Mapping[str, str]
"""Hash of the rows of one act by table."""


def close_act(connection: Connection, case_id: str) -> int:
    """Give the rows that were added to a case since its last act the next number, and write their hash.

    Returns
    -------
    int
        That number; 0 if no row was added.
    """
    tables = _tables_with_new(connection, case_id)
    if not tables:
        return 0
    hashes = _hashes(connection, case_id, tables).get(None, {})
    of_case = ACT.c.case_id == case_id
    last = connection.execute(select(ACT).where(of_case).order_by(ACT.c.number.desc()).limit(1)).first()
    number, before = (last.number + 1, last.sha256) if last else (1, "")
    for table in tables:
        connection.execute(update(table).where(*_new(table, case_id)).values(act=number))
    _write(connection, case_id, number, _sha256(before, case_id, number, hashes))
    return number


def _new(table: Table, case_id: str | BindParameter[str]) -> tuple[Any, Any]:
    return table.c.case_id == case_id, table.c.act.is_(None)


WITH_NEW = union_all(
    *(select(literal(one.name)).where(exists().where(*_new(one, bindparam("case_id")))) for one in TABLES)
)
"""Made once: every act asks it twice, and to make it takes longer than to answer it."""


def _tables_with_new(connection: Connection, case_id: str) -> list[Table]:
    """Tables that have rows of no act yet, by one question to the database."""
    names = set(connection.scalars(WITH_NEW, {"case_id": case_id}))
    return [table for table in TABLES if table.name in names]


def mark_strays(connection: Connection, case_id: str) -> None:
    """Let rows that were put in past coreset be no part of the act that begins."""
    for table in _tables_with_new(connection, case_id):
        connection.execute(update(table).where(*_new(table, case_id)).values(act=STRAY))


def rewrite(connection: Connection, case_id: str, sound: Collection[int]) -> None:
    """Write the hashes of a case anew, after a person's code was deleted; acts that were not sound before stay so.

    Parameters
    ----------
    sound : collection of int
        Numbers of acts whose hash was right before.
    """
    numbers = [act.number for act in _acts(connection, case_id)]
    hashes = _hashes(connection, case_id)
    connection.execute(delete(ACT).where(ACT.c.case_id == case_id))
    before = ""
    for number in numbers:
        before = _sha256(before, case_id, number, hashes.get(number, {})) if number in sound else ""
        _write(connection, case_id, number, before)


def sound_acts(connection: Connection, case_id: str) -> set[int]:
    """Numbers of the acts whose rows are as they were written."""
    return _sound(case_id, _acts(connection, case_id), _hashes(connection, case_id))


def broken(connection: Connection, case_id: str) -> list[str]:
    """What was altered, removed or added past the acts of a case; empty if nothing was."""
    acts, hashes = _acts(connection, case_id), _hashes(connection, case_id)
    sound, numbers = _sound(case_id, acts, hashes), {act.number for act in acts}
    removed = sorted({*range(1, max(numbers, default=0) + 1)} - numbers)
    altered = sorted(numbers - sound)
    strays = sorted({name for act, tables in hashes.items() if act not in numbers for name in tables})
    return [
        *(f"case {case_id!r}: act {number} was removed" for number in removed),
        *(f"case {case_id!r}: rows of act {number} were altered, added or removed" for number in altered),
        *(f"case {case_id!r}: rows of no act in {name}" for name in strays),
    ]


def _acts(connection: Connection, case_id: str) -> Sequence[Any]:
    return connection.execute(select(ACT).where(ACT.c.case_id == case_id).order_by(ACT.c.number)).all()


def _sound(case_id: str, acts: Sequence[Any], hashes: Mapping[int | None, Hashes]) -> set[int]:
    before = ["", *(act.sha256 for act in acts)]
    return {
        act.number
        for act, last in zip(acts, before, strict=False)
        if _sha256(last, case_id, act.number, hashes.get(act.number, {})) == act.sha256
    }


def other_than(connection: Connection, acts: Iterable[Mapping[str, Any]]) -> list[str]:
    """Acts that an earlier backup holds and the database no longer has, or has with another hash."""
    now = {(act.case_id, act.number): act.sha256 for act in connection.execute(select(ACT))}
    return [
        f"case {act['case_id']!r}: act {act['number']} is not the one of the backup: its rows were altered since, "
        "or a person's code was deleted"
        for act in acts
        if now.get((act["case_id"], act["number"])) != act["sha256"]
    ]


def _hashes(connection: Connection, case_id: str, new: Sequence[Table] = ()) -> dict[int | None, Hashes]:
    """Hashes of each act by number; where tables with new rows are named, of those rows alone, under None.

    Rows are hashed one by one and the hashes sorted: databases order text in different ways.
    """
    rows: dict[int | None, dict[str, list[bytes]]] = defaultdict(lambda: defaultdict(list))
    for table in new or TABLES:
        every = select(table).where(table.c.case_id == case_id).execution_options(yield_per=1000)
        read = select(table).where(*_new(table, case_id)) if new else every
        for row in connection.execute(read).mappings():
            line = json.dumps({name: value for name, value in row.items() if name != "act"}, sort_keys=True)
            rows[row["act"]][table.name].append(hashlib.sha256(line.encode()).digest())
    return {
        act: {name: hashlib.sha256(b"".join(sorted(found))).hexdigest() for name, found in tables.items()}
        for act, tables in rows.items()
    }


def _sha256(before: str, case_id: str, number: int, hashes: Hashes) -> str:
    text = json.dumps([before, case_id, number, dict(sorted(hashes.items()))])
    return hashlib.sha256(text.encode()).hexdigest()


def _write(connection: Connection, case_id: str, number: int, sha256: str) -> None:
    connection.execute(insert(ACT).values(case_id=case_id, number=number, sha256=sha256))
