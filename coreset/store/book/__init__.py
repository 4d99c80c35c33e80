"""The working store of cases: one SQL database, parts and readings append-only."""

from coreset.store.book.book import Book
from coreset.store.book.shown import CaseRow
from coreset.store.book.where import book_url

__all__ = ["Book", "CaseRow", "book_url"]
