"""Codes of people: what looks like a name stands where a code belongs."""

from __future__ import annotations

import re
from collections.abc import Iterable

from coreset.case.action import Action
from coreset.case.study import RatedPace, Study

PROGRAM, COMMAND = ORIGINS = ("program", "command")
"""In the place of a code where no person is behind it: the case that comes with the program or is named at its start;
one that the command took in."""
NAME = re.compile(r"[^\W\d_]+(?:[ .,'-]+[^\W\d_]+)*\.?")
"""Letters only, in one or several words."""
BEFORE_DATE = re.compile(r"\s+(?=\d{4}-)")
"""Between the code of a signature and its time."""
LEAST_LOWER = 2
"""Small letters that a name has at least; a code of capitals has none."""


def name_like(text: str) -> bool:
    """Whether a text looks like the name of a person rather than a code.

    Examples
    --------
    >>> [name_like(text) for text in ("Anna Smith", "O'Neill, P.", "OB7", "op3", "AP", "removed")]
    [True, True, False, False, False, False]
    """
    found = text.strip()
    return bool(
        NAME.fullmatch(found)
        and any(part[:1].isupper() for part in re.split(r"[ .,'-]+", found))
        and sum(letter.islower() for letter in found) >= LEAST_LOWER
    )


def named(study: Study) -> tuple[str, ...]:
    """Fields of a study, corrections among them, in which a name seems to stand."""
    fields = [name for name in ("observer", "operator", "approver", "taken_by") if name_like(getattr(study, name))]
    signed = ("signed",) if name_like(BEFORE_DATE.split(study.signed)[0]) else ()
    return (*fields, *signed, *_corrected(study.corrections))


def named_raters(raters: Iterable[RatedPace]) -> tuple[str, ...]:
    """Where in the checks of raters a name seems to stand."""
    return ("observer",) if any(name_like(row.observer) for row in raters) else ()


def named_actions(actions: Iterable[Action]) -> tuple[str, ...]:
    """Where in the actions a name seems to stand."""
    rows = list(actions)
    return tuple(name for name in ("owner", "assessor") if any(name_like(getattr(row, name)) for row in rows))


def _corrected(corrections: Iterable[object]) -> tuple[str, ...]:
    return ("corrections",) if any(name_like(getattr(made, "who", "")) for made in corrections) else ()
