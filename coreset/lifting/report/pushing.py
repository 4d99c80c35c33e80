"""A push or pull in words: its forces beside the guideline figures, and why it needs a specialist."""

from __future__ import annotations

from typing import Any

from coreset.case import UNIT_SETS
from coreset.lifting.pushing import SCALE
from coreset.rounding import fixed
from coreset.text import say


def push_text(one: Any, units: str) -> str:
    """Forces of a push or pull beside the guideline figures; why it needs a specialist where it does.

    Examples
    --------
    >>> from types import SimpleNamespace as S
    >>> push_text(S(start_n=90.0, keep_n=0.0, start_most_n=150.0, keep_most_n=70.0, why=("not_measured",)), "us")[:57]
    'Force 20 lbf to start, not measured to keep it moving; gu'
    """
    unit = UNIT_SETS[units]["force"]
    figures = {
        name: getattr(one, f"{name}_n") / SCALE[units][0] for name in ("start", "keep", "start_most", "keep_most")
    }
    words = {
        name: f"{fixed(value)} {unit}" if value else say("handling.push.unknown") for name, value in figures.items()
    }
    why = ", ".join(say(f"handling.push.{code}") for code in one.why)
    return say(f"handling.fit_says.push_{'needs' if why else 'within'}", why=why, **words)
