"""What signatures in the database cover: the hash of each session of a study, as it was when it was signed."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence

from sqlalchemy import Connection, select, update

from coreset.case import Study
from coreset.case.codes import alphabet_rule, unseen_rule
from coreset.case.people import PROGRAM
from coreset.case.signature import content_hash, signature_state
from coreset.errors import BookError
from coreset.store.book import chain, documents, rows, sessions
from coreset.store.book.forget import forget
from coreset.store.book.schema import REVISION, SIGNATURE
from coreset.store.book.shown import opened

Valid = Mapping[str, Collection[str]]
"""Sessions whose signature holds, by case."""

CODE_DELETED = "a person's code was deleted"


def sign(connection: Connection, case_id: str, code: str, studies: Iterable[Study], **stamp: str) -> None:
    """Sign a study, with every session of it; `studies` are those of the case, `stamp` is who and at.

    Parameters
    ----------
    code : str
        The study, or a session of it.
    studies : iterable of Study
        Studies of the case with their readings: what is signed.
    stamp
        who, at.

    Raises
    ------
    BookError
        If it is signed already, or the code of who signs could be taken for another's.
    """
    if rule := unseen_rule(stamp["who"]) or alphabet_rule(stamp["who"]):
        raise BookError(f"a signature must have {rule}")
    known = documents.study_codes(connection, case_id)
    study = sessions.whole(code, known)
    own = [one for one in studies if sessions.whole(one.study, known) == study]
    sessions.sign(connection, case_id, study, content=_content(own), **stamp)


def _content(studies: Iterable[Study]) -> str:
    return json.dumps({study.study: content_hash(study) for study in studies})


def valid(connection: Connection) -> Valid:
    """Sessions whose signature holds now."""
    names = connection.scalars(select(SIGNATURE.c.case_id).where(SIGNATURE.c.content.is_not(None)).distinct()).all()
    return {
        name: {s.study for s in opened(connection, name).studies if signature_state(s) == "valid"} for name in names
    }


def renew(connection: Connection, before: Valid) -> None:
    """Let signatures that held before a person's code was deleted hold again."""
    for case_id, held in before.items():
        studies = {study.study: study for study in opened(connection, case_id).studies if study.study in held}
        for row in connection.execute(select(SIGNATURE).where(SIGNATURE.c.case_id == case_id)).all():
            stated = json.loads(row.content or "{}")
            new = {code: content_hash(studies[code]) if code in studies else old for code, old in stated.items()}
            same = SIGNATURE.c.case_id == case_id, SIGNATURE.c.study == row.study
            if new != stated:
                connection.execute(update(SIGNATURE).where(*same).values(content=json.dumps(new)))


def _names(connection: Connection) -> Sequence[str]:
    return connection.scalars(select(REVISION.c.case_id).distinct()).all()


def forget_code(connection: Connection, code: str) -> int:
    """Delete a person's code from every case: signatures that held still hold, acts are hashed anew; rows changed."""
    signed = valid(connection)
    sound = {case_id: chain.sound_acts(connection, case_id) for case_id in _names(connection)}
    count, changed = forget(connection, code)
    renew(connection, signed)
    stamp = {"who": PROGRAM, "at": rows.received(), "why": CODE_DELETED}
    for case_id in changed:  # what was opened before the code was deleted is not kept over it
        documents.make_shown(connection, case_id, documents.shown(connection, case_id), **stamp)
        chain.rewrite(connection, case_id, sound[case_id])
        chain.close_act(connection, case_id)
    return count
