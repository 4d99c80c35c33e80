"""Parts of a case as JSON documents: written once, never changed; the newest shown one of each holds."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Row, Select, Table, func, insert, select

from coreset.errors import BookError
from coreset.store.book.schema import PART, REVISION

Parts = Mapping[str, Any]
GROUND = "case"
STUDY = "study:"


def split(plain: Mapping[str, Any]) -> dict[str, Any]:
    """Parts of a plain case: each list and table one, each study one, what is left over together.

    Examples
    --------
    >>> split({"title": "t", "line": {"uptime": 0.8}, "studies": [{"study": "S1"}]})
    {'case': {'title': 't', 'studies': ['S1']}, 'line': {'uptime': 0.8}, 'study:S1': {'study': 'S1'}}
    """
    ground: dict[str, Any] = {}
    parts: dict[str, Any] = {GROUND: ground}
    for name, value in plain.items():
        if name == "studies":
            ground[name] = [study["study"] for study in value]
            parts |= {STUDY + study["study"]: study for study in value}
        elif isinstance(value, dict | list | tuple):
            parts[name] = value
        else:
            ground[name] = value
    return parts


def join(parts: Parts) -> dict[str, Any]:
    """The plain case again.

    Examples
    --------
    >>> join({"case": {"title": "t", "studies": ["S1"]}, "study:S1": {"study": "S1"}})
    {'title': 't', 'studies': [{'study': 'S1'}]}
    """
    plain = dict(parts[GROUND])
    plain |= {name: body for name, body in parts.items() if name != GROUND and not name.startswith(STUDY)}
    if "studies" in plain:
        plain["studies"] = [parts[STUDY + code] for code in plain["studies"]]
    return plain


def lock(connection: Connection, case_id: str | None = None) -> None:
    """Let one act at a time change a case, or every case if none is named; the others wait until this one is done.

    The first revision of a case is the row that is locked. SQLite has one writer at a time and needs no lock.
    """
    rows = select(REVISION.c.case_id).where(REVISION.c.revision == 1).order_by(REVISION.c.case_id)
    connection.execute((rows if case_id is None else rows.where(REVISION.c.case_id == case_id)).with_for_update())


def head(connection: Connection, case_id: str) -> int:
    """Newest revision of a case; 0 if it was never kept."""
    newest = select(func.max(REVISION.c.revision)).where(REVISION.c.case_id == case_id)
    return connection.scalar(newest) or 0


def newest_of(connection: Connection, case_id: str, base: int | None) -> int:
    """Newest revision, if it is the one that a change started from, or none is named.

    Parameters
    ----------
    base : int or None
        Revision that the change started from.

    Raises
    ------
    BookError
        If there is a newer one; it says whose.
    """
    newest = head(connection, case_id)
    if base is None or base == newest:
        return newest
    row = connection.execute(
        select(REVISION).where(REVISION.c.case_id == case_id, REVISION.c.revision == newest)
    ).first()
    by = f" ({row.who}: {row.why})" if row else ""
    raise BookError(f"case {case_id!r} must be at revision {base}, got {newest}: somebody else changed it{by}")


def shown(connection: Connection, case_id: str) -> int:
    """Revision whose parts hold now.

    Raises
    ------
    BookError
        If the book has no such case.
    """
    newest = select(REVISION.c.shows).where(REVISION.c.case_id == case_id).order_by(REVISION.c.revision.desc())
    found = connection.scalar(newest.limit(1))
    if found is None:
        raise BookError(f"case must be one of the book, got {case_id!r}")
    return found


def line_of(connection: Connection, case_id: str, revision: int) -> list[int]:
    """The revision and those that it was built on, newest first; what an undo skipped is not among them.

    Parameters
    ----------
    revision : int
        One that shows itself.
    """
    return _line(_what_each_shows(connection, case_id), revision)


def _what_each_shows(connection: Connection, case_id: str) -> dict[int, int]:
    rows = connection.execute(select(REVISION.c.revision, REVISION.c.shows).where(REVISION.c.case_id == case_id)).all()
    return {row.revision: row.shows for row in rows}


def _line(shows: Mapping[int, int], revision: int) -> list[int]:
    line = []
    while revision:
        line.append(revision)
        revision = shows.get(revision - 1, 0)
    return line


def parts_at(connection: Connection, case_id: str, revision: int) -> dict[str, Any]:
    """Parts that held at a revision, by name.

    Parameters
    ----------
    revision : int
        One that shows itself, as `shown` gives it.
    """
    line = line_of(connection, case_id, revision)
    rows = connection.execute(
        select(PART.c.name, PART.c.body)
        .where(PART.c.case_id == case_id, PART.c.revision.in_(line))
        .order_by(PART.c.revision)
    )
    bodies = {row.name: row.body for row in rows}
    return {name: json.loads(body) for name, body in bodies.items() if body is not None}


def grounds(connection: Connection, rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Plain fields of the case that each revision shows, for any number of cases by two questions to the database."""
    codes = {row.case_id for row in rows}
    one = [codes.pop()] if len(codes) == 1 else []
    shows = {(r.case_id, r.revision): r.shows for r in connection.execute(_of(REVISION, one)).all()}
    ground = _of(PART, one).where(PART.c.name == GROUND)
    own = {(r.case_id, r.revision): r.body for r in connection.execute(ground).all()}
    held: dict[tuple[str, int], str] = {}
    for case_id, revision in sorted(shows):
        before = held.get((case_id, shows.get((case_id, revision - 1), 0)), "{}")
        held[case_id, revision] = own.get((case_id, revision)) or before
    return [json.loads(held[row.case_id, row.shows]) for row in rows]


def _of(table: Table, case_ids: Sequence[str]) -> Select[Any]:
    return select(table).where(table.c.case_id.in_(case_ids)) if case_ids else select(table)


def write(connection: Connection, case_id: str, parts: Parts, newest: int, **stamp: str) -> int:
    """Keep the parts that changed as a new revision; the revision that holds then (the old one if nothing did).

    `newest` is the newest revision so far, 0 if there is none; `stamp` is who, at, why.

    Parameters
    ----------
    parts : mapping
        All parts of the case by name; one that is missing is gone from this revision on.
    newest : int
        Newest revision so far, 0 if there is none.
    stamp
        who, at, why.
    """
    held = parts_at(connection, case_id, shown(connection, case_id)) if newest else {}
    changed = _changed(held, parts)
    if newest and not changed:
        return newest
    revision = newest + 1
    connection.execute(insert(REVISION).values(case_id=case_id, revision=revision, shows=revision, **stamp))
    rows = [{"case_id": case_id, "revision": revision, "name": name, "body": body} for name, body in changed.items()]
    connection.execute(insert(PART), rows)
    return revision


def _changed(held: Parts, parts: Parts) -> dict[str, str | None]:
    """Bodies to write: of new and changed parts, None for dropped ones."""
    before = {name: _text(body) for name, body in held.items()}
    after = {name: _text(body) for name, body in parts.items()}
    changed: dict[str, str | None] = {name: body for name, body in after.items() if before.get(name) != body}
    return changed | {name: None for name in before if name not in after}


def _text(body: Any) -> str:
    return json.dumps(body, ensure_ascii=False, allow_nan=False)


def step_back(connection: Connection, case_id: str, **stamp: str) -> int:
    """Show what held before the newest change that is not yet undone, as a new revision.

    Raises
    ------
    BookError
        If there is nothing before it.
    """
    line = line_of(connection, case_id, shown(connection, case_id))
    if len(line) < 2:
        raise BookError(f"undo must have an earlier revision to go back to, got none of case {case_id!r}")
    return make_shown(connection, case_id, line[1], **stamp)


def make_shown(connection: Connection, case_id: str, shows: int, **stamp: str) -> int:
    """Show what held at an earlier revision, as a new one; its number.

    Parameters
    ----------
    shows : int
        The earlier revision.
    stamp
        who, at, why.
    """
    revision = head(connection, case_id) + 1
    connection.execute(insert(REVISION).values(case_id=case_id, revision=revision, shows=shows, **stamp))
    return revision


def study_codes(connection: Connection, case_id: str) -> set[str]:
    """Codes of every study that the case ever had."""
    names = connection.scalars(select(PART.c.name).where(PART.c.case_id == case_id).distinct())
    return {name.removeprefix(STUDY) for name in names if name.startswith(STUDY)}


def studies_now(connection: Connection, case_id: str) -> tuple[str, ...]:
    """Codes of the studies that the case holds now, in its order; none if the book does not have it."""
    return tuple(_ground(connection, case_id).get("studies", ()))


def plant_now(connection: Connection, case_id: str) -> str | None:
    """Plant of a case; None if the book does not have the case."""
    return _ground(connection, case_id).get("plant", "") if head(connection, case_id) else None


def _ground(connection: Connection, case_id: str) -> dict[str, Any]:
    """Plain fields of a case as they hold now; none if the book does not have it."""
    if not head(connection, case_id):
        return {}
    line = line_of(connection, case_id, shown(connection, case_id))
    newest = select(PART.c.body).where(PART.c.case_id == case_id, PART.c.name == GROUND, PART.c.revision.in_(line))
    body = connection.scalar(newest.order_by(PART.c.revision.desc()).limit(1))
    return json.loads(body) if body else {}


def study_trail(connection: Connection, case_id: str, code: str) -> list[int]:
    """Revisions that changed a study, newest first.

    Parameters
    ----------
    code : str
        The study.
    """
    found = select(PART.c.revision).where(PART.c.case_id == case_id, PART.c.name == STUDY + code)
    return list(connection.scalars(found.order_by(PART.c.revision.desc())))


def has_study(connection: Connection, case_id: str, study: str) -> bool:
    """Whether the case holds that study now; reads no other part.

    Parameters
    ----------
    study : str
        The study.
    """
    shows = _what_each_shows(connection, case_id)
    if not shows:
        return False
    line = _line(shows, shows[max(shows)])
    newest = select(PART.c.body.is_not(None)).where(
        PART.c.case_id == case_id, PART.c.name == STUDY + study, PART.c.revision.in_(line)
    )
    return bool(connection.scalar(newest.order_by(PART.c.revision.desc()).limit(1)))


def once_held(connection: Connection, case_id: str, study: str) -> bool:
    """Whether any revision of the case held that study.

    Parameters
    ----------
    study : str
        The study.
    """
    named = select(PART.c.name).where(PART.c.case_id == case_id, PART.c.name == STUDY + study)
    return connection.scalar(named.limit(1)) is not None
