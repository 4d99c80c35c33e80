"""What a new study starts with: a free code, its allowances as one figure, the usual frequency of an element."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import count

from coreset.case import AllowanceLine, Allowances, Case, Element
from coreset.text import say

NOTE = re.compile(r"\s*\(([^()]*)\)\s*$")
EVERY = re.compile(r"every\s+(\d+(?:[.,]\d+)?)(?:\s+molds?)?$", re.IGNORECASE)


def free_code(case: Case) -> str:
    """A code that no study of the case has.

    Examples
    --------
    >>> from types import SimpleNamespace as Of
    >>> free_code(Of(studies=[Of(study="S1"), Of(study="S3")]))
    'S2'
    """
    taken = {study.study for study in case.studies}
    return next(code for code in (f"S{number}" for number in count(1)) if code not in taken)


def first_status(case: Case, pattern: str, method: str) -> str:
    """Status that a new study begins with: on trial where the case has timed a current one of the pair already.

    So nothing that is only begun moves a standard that holds: it enters when somebody says so.

    Parameters
    ----------
    case : Case
        Studies.
    pattern, method : str
        The pair to be timed.
    """
    held = any(
        (study.pattern, study.method, study.status) == (pattern, method, "current") and len(study.readings)
        for study in case.studies
    )
    return "trial" if held else "current"


def per_mold_of(molds: str) -> float | None:
    """Occurrences for one mold of what comes once in so many molds, as typed; None for none.

    Examples
    --------
    >>> per_mold_of("4"), per_mold_of("2,5"), per_mold_of("0")
    (0.25, 0.4, None)
    """
    every = float(molds.replace(",", "."))
    return 1 / every if every > 0 else None


def element_of(line: str) -> Element:
    """An element from a line as typed, with what is said of it in brackets.

    Examples
    --------
    >>> element_of("Machine turns over (machine)").kind
    'machine'
    >>> found = element_of("Blow off print (machine, every 4 molds)")
    >>> found.name, found.kind, found.occasional, found.per_mold
    ('Blow off print', 'machine', True, 0.25)
    >>> element_of("Set core (left)").name
    'Set core (left)'
    """
    name, machine, occasional, per_mold = line.strip(), False, False, None
    said = NOTE.search(line)
    for word in said.group(1).split(", ") if said else ():
        if often := EVERY.match(word.strip()):
            occasional, per_mold = True, per_mold_of(often.group(1))
        elif word.strip() == "occasional":
            occasional = True
        elif word.strip() == "machine":
            machine = True
        else:
            return Element(name=line.strip())
        name = NOTE.sub("", line).strip()
    return Element(name=name, occasional=occasional, per_mold=per_mold, kind="machine" if machine else "manual")


def set_name(allowances: str | float | None) -> str:
    """Name of the allowance set of a new study: the set that was chosen, or that of one figure; empty for none.

    Examples
    --------
    >>> set_name("usual"), set_name(12.5), set_name(None)
    ('usual', 'stated-12.5', '')
    """
    return allowances if isinstance(allowances, str) else "" if allowances is None else f"stated-{allowances:g}"


def with_allowances(case: Case, allowances: str | float | None) -> Case:
    """The case with a set for allowances that were given as one figure, in percent of normal time."""
    name = set_name(allowances)
    if not isinstance(allowances, float) or case.allowance_set(name) is not None:
        return case
    line = AllowanceLine(
        cause=say("timing.stated_allowance"), percent=allowances, source=say("timing.stated_allowance_source")
    )
    stated = Allowances(name=name, basis="normal", force_from_core=False, lines=(line,))
    return replace(case, allowances=(*case.allowances, stated))
