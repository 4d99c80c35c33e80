"""The working store of cases: one SQL database, parts and readings append-only."""

from coreset.book.book import Book, CaseRow
from coreset.book.where import book_url

__all__ = ["Book", "CaseRow", "book_url"]
