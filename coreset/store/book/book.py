"""The book: cases kept with who, when and why; opened as the same value that a folder gives."""

from __future__ import annotations

import logging
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from uuid import uuid4

from sqlalchemy import Connection, update

from coreset.case import Case, Correction
from coreset.errors import BookError
from coreset.store.book import chain, documents, late, mapping, rows, sessions, signing
from coreset.store.book.adding import add_rows, refuse_undo
from coreset.store.book.assembly import set_apart, settle, study_now
from coreset.store.book.engine import compact, file_of, open_engine, reading, refuse_other_version
from coreset.store.book.file import OpenFile
from coreset.store.book.names import refuse_new_codes
from coreset.store.book.people_book import PeopleBook
from coreset.store.book.plain import built, plain
from coreset.store.book.presses import Press
from coreset.store.book.refusals import refuse_value, refused
from coreset.store.book.schema import FORM
from coreset.store.book.set_apart import Apart, decisions
from coreset.store.book.shown import CaseRow, every_case, only_here, opened, trail
from coreset.store.book.stamp import FORGOTTEN, stamp
from coreset.store.book.versions import open_version

LOG = logging.getLogger("coreset.book")


class Book(PeopleBook):
    """Cases, readings, corrections and signatures behind one URL: `sqlite:///path` or `postgresql+psycopg://...`."""

    def __init__(self, url: str, *, file: OpenFile | None = None) -> None:
        if file:  # as another process opened it
            file.refuse_other()
        self.url, self._engine = url, open_engine(url)
        self.file = file or file_of(self._engine)

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    @contextmanager
    def _writing(self, case_id: str | None) -> Iterator[Connection]:
        """A transaction that alone changes that case, every case if None; its act goes to the log by number."""
        act = 0
        with self._changing() as connection:
            documents.lock(connection, case_id)
            if case_id is not None:
                chain.mark_strays(connection, case_id)
            yield connection
            if case_id is not None:
                act = chain.close_act(connection, case_id)
        if act:
            LOG.info("act", extra={"case": case_id, "act": act})

    @contextmanager
    def _changing(self) -> Iterator[Connection]:
        self.file.refuse_other()
        with refused(self.url), self._engine.begin() as connection:
            refuse_other_version(connection)
            yield connection
        self.file.refuse_other()  # what went into a file that is no longer there is not acknowledged

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        self.file.refuse_other()
        with refused(self.url), reading(self._engine).begin() as connection:
            refuse_other_version(connection)
            yield connection

    def refuse_unwritable(self) -> None:
        """Nothing, if a change could be stored now; a BookError if the database is read-only, locked or gone."""
        with self._changing() as connection:
            connection.execute(update(FORM).values(version=FORM.c.version))
            connection.rollback()

    def cases(self) -> tuple[CaseRow, ...]:
        """Every case with its newest revision, by name."""
        with self._reading() as connection:
            return every_case(connection)

    def trail(self, case_id: str) -> tuple[CaseRow, ...]:
        """Every revision of a case, newest first."""
        with self._reading() as connection:
            return trail(connection, case_id)

    def only_here(self, case_id: str) -> dict[str, int]:
        """How many changes with who and why, and how many presses, no folder of the case holds."""
        with self._reading() as connection:
            return only_here(connection, case_id)

    def open(self, case_id: str, *, revision: int | None = None) -> Case:
        """The case as it holds now, or its parts as they held at a revision; readings are always all of them.

        Raises
        ------
        BookError
            If the book has no such case.
        """
        with self._reading() as connection:
            return opened(connection, case_id, revision)

    def keep(self, case_id: str, case: Case, *, who: str, why: str, base: int | None = None) -> int:
        """Keep a case: what changed becomes a new revision; its readings and corrections are added to the rows.

        Parameters
        ----------
        base : int, optional
            Revision that the change started from; refused if somebody else kept the case since.

        Returns
        -------
        int
            The newest revision.

        Raises
        ------
        BookError
            If a signed study would change, if a stored reading would, if `base` is no longer the newest, if a value
            is outside its limits, or if a new code could name no file.
        """
        if not who.strip() or not why.strip() or not case_id.strip():
            raise BookError("keeping a case must have its name, who and why, got an empty one")
        with self._writing(case_id) as connection:
            newest = documents.newest_of(connection, case_id, base)
            refuse_new_codes(connection, case_id, case, newest=newest)
            kept = add_rows(connection, case_id, case)
            document = plain(kept)
            built(document, case_id=case_id)  # what cannot be opened again is not kept
            parts = documents.split(document)
            return documents.write(connection, case_id, parts, newest, who=who, at=rows.received(), why=why)

    def undo(self, case_id: str, *, who: str, why: str = "undo", base: int | None = None) -> int:
        """Go back by one revision, as a new one; readings and corrections stay.

        Parameters
        ----------
        base : int, optional
            Newest revision that was shown; refused if there is a newer one, which would be undone unseen.

        Raises
        ------
        BookError
            If `base` is no longer the newest, a signed study would change, or readings would lose their element.
        """
        with self._writing(case_id) as connection:
            documents.newest_of(connection, case_id, base)
            refuse_undo(connection, case_id)
            return documents.step_back(connection, case_id, who=who, at=rows.received(), why=why)

    def revision(self, case_id: str) -> int:
        """Newest revision of a case; 0 if the book does not have it."""
        with self._reading() as connection:
            return documents.head(connection, case_id)

    def stamp(self, case_id: str) -> str:
        """A mark of a case's content that changes with it."""
        with self._reading() as connection:
            return stamp(connection, case_id)

    def has_study(self, case_id: str, study: str) -> bool:
        """Whether the case holds that study now."""
        with self._reading() as connection:
            return documents.has_study(connection, case_id, study)

    def studies(self, case_id: str) -> tuple[str, ...]:
        """Codes of the studies of a case, without those of their further sessions."""
        with self._reading() as connection:
            return documents.studies_now(connection, case_id)

    def plant(self, case_id: str) -> str | None:
        """The plant that a case is of, "" if it names none; None if the book does not have the case."""
        with self._reading() as connection:
            return documents.plant_now(connection, case_id)

    def signed(self, case_id: str, study: str) -> str:
        """Code and time of the signature; empty if there is none."""
        with self._reading() as connection:
            return sessions.signatures(connection, case_id).get(study, "")

    def take(self, case_id: str, study: str, device: str, presses: Sequence[Press]) -> tuple[int, ...]:
        """Store presses of a clock, each once however often it is sent; the seqs that are stored now.

        Raises
        ------
        BookError
            If the study is signed or was removed from the case.
        """
        if not device:
            raise BookError("presses must name the device that took them, got none")
        with self._writing(case_id) as connection:
            sessions.unlocked(connection, case_id, study)
            if not documents.has_study(connection, case_id, study):
                raise BookError(f"study must be one of the case, got {study!r}")
            place = {"case_id": case_id, "study": study, "device": device, "received": rows.received()}
            rows.number_session(connection, case_id, study, device)
            rows.add_once(connection, [rows.press_row(press, **place) for press in presses])
        return tuple(press.seq for press in presses)

    def take_late(self, case_id: str, study: str, device: str, presses: Sequence[Press]) -> bool:
        """Hold presses for a signed or removed study apart, as `late.hold` says; False if it never was there."""
        with self._writing(case_id) as connection:
            return late.hold(connection, case_id, study, device, presses)

    def presses(self, case_id: str, study: str) -> dict[str, list[Press]]:
        """Raw presses of a study by device, in the order that the devices began."""
        with self._reading() as connection:
            return rows.presses_by_session(connection, case_id).get(study, {})

    def starter(self, case_id: str, study: str, device: str) -> str:
        """Code of who started the clock of a session; empty where its start is not stored."""
        with self._reading() as connection:
            return rows.starter(connection, case_id, study, device)

    def correct(self, case_id: str, study: str, correction: Correction) -> None:
        """Add a correction; the reading stays as it is.

        Raises
        ------
        BookError
            If the study is signed, there is no such reading, or it would be labelled or rated as nothing can be.
        """
        with self._writing(case_id) as connection:
            current = {s.study: s for s in opened(connection, case_id).studies}.get(study)
            if current is None or correction.seq not in current.readings.seq:
                raise BookError(f"correction must concern a reading of the study, got {correction.seq} of {study!r}")
            refuse_value(correction, [element.name for element in current.elements])
            sessions.unlocked(connection, case_id, study)
            last = next((made for made in reversed(current.corrections) if made.seq == correction.seq), None)
            if correction != last:  # sent twice
                rows.correct(connection, case_id, study, [correction])

    def apart(self, case_id: str, study: str = "") -> list[Apart]:
        """Presses of a study that do not fit it, with what was decided about each; they are read as foreign time.

        Without a study: those that came for studies which the case no longer holds, one entry a session.
        """
        with self._reading() as connection:
            if not study:
                return late.removed(connection, case_id, decisions(connection, case_id))
            return set_apart(connection, case_id, study_now(connection, case_id, study))

    def settle(
        self, case_id: str, study: str, place: tuple[str, int], action: str, element: str = "", **by: str
    ) -> None:
        """Assign, exclude or take in what is set apart, as `assembly.settle` says."""
        with self._writing(case_id) as connection:
            sessions.unlocked(connection, case_id, study)
            settle(connection, case_id, study, place, (action, element), **by)

    def sign(self, case_id: str, study: str, *, who: str) -> None:
        """Lock a study, with every session of it, under a code and this moment.

        Raises
        ------
        BookError
            If it is signed already or not there.
        """
        if not who.strip():
            raise BookError("a signature must have a code, got none")
        with self._writing(case_id) as connection:
            studies = opened(connection, case_id).studies
            if study not in {s.study for s in studies}:
                raise BookError(f"study must be one of the case, got {study!r}")
            signing.sign(connection, case_id, study, studies, who=who, at=rows.received())

    def new_version(self, case_id: str, study: str, *, who: str, why: str) -> str:
        """Open a changeable copy of a study, with all its sessions, in its place; the old one stays. Its new code."""
        if not who.strip() or not why.strip():
            raise BookError("a new version must have who and why, got an empty one")
        with self._writing(case_id) as connection:
            return open_version(connection, case_id, study, who=who, at=rows.received(), why=why)

    def study_trail(self, case_id: str, study: str) -> tuple[CaseRow, ...]:
        """Every revision in which the header or the elements of a study changed, newest first."""
        with self._reading() as connection:
            changed = set(documents.study_trail(connection, case_id, study))
        return tuple(row for row in self.trail(case_id) if row.revision in changed)

    def forget(self, code: str) -> int:
        """Delete a person's code wherever it stands in the book; how many rows it stood in."""
        with self._writing(None) as connection:
            count = signing.forget_code(connection, code)
            mapping.remember(connection, FORGOTTEN, uuid4().hex)
        compact(self._engine)
        return count

    def mapping(self, name: str) -> str | None:
        """What was remembered under that name."""
        with self._reading() as connection:
            return mapping.remembered(connection, name)

    def remember(self, name: str, body: str) -> None:
        """Remember a text under a name, in the place of what was there."""
        with self._changing() as connection:
            mapping.remember(connection, name, body)
