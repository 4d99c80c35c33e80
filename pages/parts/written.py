"""Tables and lines of working as the text that is sent for them: the first rows, guarded, in the manner of the case."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from coreset.report.columns import right_hand
from coreset.report.numbers import bound
from coreset.rounding import fixed
from coreset.text import message, say
from coreset.web import session
from coreset.working import Working

SPECIAL = str.maketrans({mark: f"\\{mark}" for mark in "\\`*_{}[]<>()#+!|~$:"})
BEFORE_A_LINK = re.compile(r"(?<=http)(?=://)|(?<=https)(?=://)|(?<=www)(?=\.)|(?=@)", re.IGNORECASE)
JOINER = "\N{WORD JOINER}"
"""Nothing to see; what would be taken for an address is no longer one."""
BREAKS = re.compile(r"[^\S\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}]+")
"""Blanks and ends of lines in a cell; a space that binds a number stays what it is."""
MOST_ROWS = 120
"""Rows of a table that are shown; all of them are in the data that the page Report gives."""
Rows = Iterable[Mapping[str, Any]]


class Text(NamedTuple):
    """A table as it is sent, empty without rows, and how many rows there are with those that are not."""

    text: str
    count: int


def plain(text: object) -> str:
    r"""Text that somebody typed, so that no mark in it is taken for markup.

    Examples
    --------
    >>> plain("![x](http://a)").replace(JOINER, "_")
    '\\!\\[x\\]\\(http_\\://a\\)'
    """
    return BEFORE_A_LINK.sub(JOINER, bound(session.in_manner(str(text)))).translate(SPECIAL)


def begun(sentence: str) -> str:
    """A sentence with a capital at its start, unless that is a code.

    Examples
    --------
    >>> begun("core setter is faster"), begun("hb10 gains most")
    ('Core setter is faster', 'hb10 gains most')
    """
    first = sentence.partition(" ")[0]
    return f"{sentence[:1].upper()}{sentence[1:]}" if first.isalpha() else sentence


def table(given: Rows | Any) -> Text:
    """A table of rows or of a data frame."""
    every = given.to_dict("records") if hasattr(given, "to_dict") else list(given)
    if not (records := every[:MOST_ROWS]):
        return Text("", 0)
    names = list(dict.fromkeys(name for record in records for name in record))
    shown = [{name: _cell(record.get(name)) for name in names} for record in records]
    sides = ["--:" if right_hand(shown, name) else ":--" for name in names]
    lines = [[plain(name) for name in names], sides, *(list(row.values()) for row in shown)]
    text = "\n".join(f"| {' | '.join(BREAKS.sub(' ', str(cell)).strip(' ') for cell in line)} |" for line in lines)
    return Text(text, len(every))


def _cell(value: Any) -> Any:
    if value is None:
        return ""
    if isinstance(value, float):
        return session.in_manner(fixed(value, 2))
    return plain(value) if isinstance(value, str) else value


def working(lines: Sequence[Working], about: str = "") -> Text:
    """Lines of working as a table; only those whose first column has these words, if any are given."""
    words = about.casefold().split()
    meant = [line for line in lines if all(word in line.what.casefold() for word in words)]
    return table([working_row(line) for line in meant[:MOST_ROWS]])._replace(count=len(meant))


def working_row(line: Working) -> dict[str, str]:
    """One line of working as a row: what, formula, figures put in, result, where it comes from."""
    from coreset.report.run_working import result  # the array library, which the first page does without

    status = f" ({say(f'front.status.{line.status}')})" if line.status else ""
    return {
        say("front.column.what"): f"{line.what} {line.symbol}".strip(),
        say("front.column.formula"): message(line.formula),
        say("front.column.numbers"): message(line.numbers),
        say("front.column.value"): result(line),
        say("front.column.source"): f"{line.cited}{status}",
    }
