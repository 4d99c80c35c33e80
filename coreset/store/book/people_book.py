"""The part of a book that keeps who may sign in: the list of people, its revisions, and who signed out when."""

from __future__ import annotations

from contextlib import AbstractContextManager

from sqlalchemy import Connection

from coreset.store.book import people, rows


class PeopleBook:
    """People of a book; the book itself says how it reads and writes."""

    def _reading(self) -> AbstractContextManager[Connection]:
        raise NotImplementedError

    def _changing(self) -> AbstractContextManager[Connection]:
        raise NotImplementedError

    def people(self) -> tuple[int, str]:
        """Newest revision of the list of people, and the list as CSV text; 0 and empty where none was saved."""
        with self._reading() as connection:
            return people.newest(connection)

    def save_people(self, body: str, *, who: str, base: int) -> int:
        """Save the list of people as a new revision; its number.

        Raises
        ------
        BookError
            If somebody else saved it since that revision.
        """
        with self._changing() as connection:
            return people.save(connection, body, who=who, at=rows.received(), base=base)

    def sign_out(self, subject: str, at_s: float) -> None:
        """End every sign-in of that person from before a moment. [s, 1970]"""
        with self._changing() as connection:
            people.sign_out(connection, subject, at_s)

    def access(self, subject: str) -> tuple[str, float]:
        """What a sign-in is judged by: the list of people, and when that person last signed out (0 for never)."""
        with self._reading() as connection:
            return people.newest(connection)[1], people.signed_out(connection, subject)
