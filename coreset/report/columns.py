"""Which columns of a table hold numbers, and so stand to the right."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from coreset.text import say

NUMBER = re.compile(r"^(?:[−–-]|[≥≤]\s)?\d[\d\s.,/–%]*$|^[−–]$|^$")


def right_hand(rows: Sequence[Mapping[str, Any]], name: str) -> bool:
    """Whether a column holds numbers only, as text or as such.

    Examples
    --------
    >>> right_hand([{"a": "1 200"}, {"a": "never"}, {"a": "1.9–4.1"}], "a"), right_hand([{"a": "HUB"}], "a")
    (True, False)
    """
    never = say("front.number.never")
    cells = [str(row.get(name, "")) for row in rows]
    return any(cells) and all(cell == never or NUMBER.match(cell) for cell in cells)


def column_name(name: str, **blanks: str) -> str:
    return say(f"charts.column.{name}", **blanks)
