"""Lines of working as rows of the long form: what several lines share is said once, above them."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import zip_longest

from coreset.report.run_working import result
from coreset.text import message
from coreset.working import Working

Cells = tuple[str, ...]
OF = ": "


def working_cells(lines: Iterable[Working]) -> list[Cells]:
    """Cells of each line; `a: b` becomes `b` below a line, or a row of its own, that says `a`.

    Examples
    --------
    >>> names = ("rate", "rate: low", "b: x", "b: y", "c: z")
    >>> made = [Working(what=name, formula="f", numbers="1", value=1.0) for name in names]
    >>> [row[0] for row in working_cells(made)]
    ['rate', 'low', 'b', 'x', 'y', 'c: z']
    """
    found: list[Cells] = []
    given, above = list(lines), ""
    for line, after in zip_longest(given, given[1:]):
        whole, _, part = line.what.partition(OF)
        if part and whole != above and after is not None and after.what.startswith(f"{whole}{OF}"):
            found.append((whole, "", "", "", ""))
            above = whole
        if not part or whole != above:
            above, part = line.what, line.what
        found.append(_cells(line, part))
    return found


def _cells(line: Working, what: str) -> Cells:
    return (
        f"{what}, {line.symbol}" if line.symbol else what,
        message(line.formula),
        message(line.numbers),
        result(line),
        line.cited,
    )
