"""The working store of cases: one SQL database, parts and readings append-only."""

from coreset.store.book.book import Book, CaseRow
from coreset.store.book.where import book_url

__all__ = ["Book", "CaseRow", "book_url"]
