"""One of several writers in processes of their own: `python mixed_acts.py URL NAME ACTS LOG`.

Each act that was acknowledged is one line of the log, in order: its kind, its mark, and the revision for an edit.
"""

import dataclasses
import json
import random
import sys

from coreset.case import Correction
from coreset.errors import BookError
from coreset.store.book import Book
from coreset.store.book.presses import Press

CASE, PRESSED, TYPED = "c", "S2", "S1"


NOT_DONE = ("somebody else changed it", "undo must have", "locked")
"""Somebody else was before this act, or held the file for as long as a writer waits: nothing was acknowledged."""


def attempt(book, name, number, pick):
    """One act, or None where it was refused for somebody else's."""
    try:
        return act(book, name, number, pick)
    except BookError as error:
        if any(words in str(error) for words in NOT_DONE):
            return None
        raise


def act(book, name, number, pick):
    """Do one act; its kind, its mark and the revision."""
    mark, share = f"{name}-{number}", pick.random()
    if share < 0.6:
        book.take(CASE, PRESSED, name, [Press(seq=number, kind="note", clock_s=float(number), wall_ms=1e12, note=mark)])
        return "press", mark, 0
    if share < 0.8:
        made = Correction(seq=2, action="exclude", who=name, when="2026-11-25T10:00", why=mark)
        book.correct(CASE, TYPED, made)
        return "correction", mark, 0
    base = book.revision(CASE)
    if share < 0.95:
        changed = dataclasses.replace(book.open(CASE), title=mark)
        return "edit", mark, book.keep(CASE, changed, who=name, why=mark, base=base)
    return "undo", mark, book.undo(CASE, who=name, why=mark, base=base)


def main(url, name, count, log):
    """Do as many acts as asked for that are acknowledged."""
    book, pick, number = Book(url), random.Random(name), 0
    with open(log, "w", encoding="utf-8") as out:
        done = 0
        while done < int(count):
            number += 1
            if (row := attempt(book, name, number, pick)) is not None:
                out.write(json.dumps(row) + "\n")
                done += 1
    book.close()


if __name__ == "__main__":
    main(*sys.argv[1:])
