"""The list of people and their sign-outs as the database holds them; who may do what is judged elsewhere."""

from __future__ import annotations

import csv
import io

from sqlalchemy import Connection, select, update

from coreset.errors import BookError
from coreset.store.book.mapping import own_insert
from coreset.store.book.schema import PEOPLE, SIGNED_OUT

CODE = "code"
"""Column of the list with a person's code."""


def newest(connection: Connection) -> tuple[int, str]:
    """Newest revision and text of the list; 0 and empty where there is none."""
    row = connection.execute(select(PEOPLE).order_by(PEOPLE.c.revision.desc()).limit(1)).first()
    return (row.revision, row.body) if row else (0, "")


def save(connection: Connection, body: str, *, who: str, at: str, base: int) -> int:
    """Add the list as the revision after `base`; a BookError if that is not the newest (any more).

    Parameters
    ----------
    body : str
        The list as CSV.
    who, at : str
        Code of the person, and when.
    base : int
        Revision that the change started from.
    """
    new = own_insert(connection)(PEOPLE).values(revision=base + 1, who=who, at=at, body=body).on_conflict_do_nothing()
    if newest(connection)[0] != base or connection.execute(new).rowcount != 1:
        raise BookError("list of people not saved: somebody else changed it since; look at it again")
    return base + 1


def sign_out(connection: Connection, subject: str, at_s: float) -> None:
    """Write when that person signed out, in the place of an earlier moment.

    Parameters
    ----------
    subject : str
        Name of the person at the provider of the sign-in.
    at_s : float
        When, since 1970 UTC. [s]
    """
    new = own_insert(connection)(SIGNED_OUT).values(subject=subject, at_s=at_s)
    later = {"set_": {"at_s": at_s}, "where": SIGNED_OUT.c.at_s < at_s}
    connection.execute(new.on_conflict_do_update(index_elements=[SIGNED_OUT.c.subject], **later))


def signed_out(connection: Connection, subject: str) -> float:
    """When that person last signed out; 0 for never. [s, 1970]"""
    return connection.scalar(select(SIGNED_OUT.c.at_s).where(SIGNED_OUT.c.subject == subject)) or 0.0


def forget(connection: Connection, code: str, removed: str) -> int:
    """Delete the rows of a code from every revision of the list, its name as the one who saved; how many changed.

    Parameters
    ----------
    code : str
        Of the person.
    removed : str
        What stands in the place of the code.
    """
    count = 0
    for row in connection.execute(select(PEOPLE)).all():
        lines = list(csv.reader(io.StringIO(row.body)))
        at = lines[0].index(CODE) if lines and CODE in lines[0] else None
        kept = [line for line in lines if at is None or len(line) <= at or line[at].strip() != code]
        if len(kept) < len(lines) or row.who == code:
            to = io.StringIO()
            csv.writer(to, lineterminator="\n").writerows(kept)
            new = {"body": to.getvalue(), "who": removed if row.who == code else row.who}
            connection.execute(update(PEOPLE).where(PEOPLE.c.revision == row.revision).values(new))
            count += 1
    return count
