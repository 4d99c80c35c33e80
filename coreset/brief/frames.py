"""Rows as a table ready to show: numbers to the right, everything else to the left."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from coreset.brief.text import say

NUMBER = re.compile(r"^[−–-]?\d[\d\s.,/–%]*$|^[−–]$|^$")


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


def frame(rows: Sequence[Mapping[str, Any]]) -> Any:
    """A styled data frame of rows, or the bare frame where there are none."""
    import pandas as pd

    found = pd.DataFrame(list(rows))
    numbers = [name for name in found.columns if right_hand(rows, name)]
    if not numbers:
        return found
    return found.style.set_properties(subset=numbers, **{"text-align": "right"})
