"""A case changed by what somebody typed, checked by the same rules as its files. In: a case and values. Out: a case."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from coreset.case import (
    Action,
    Actual,
    AllowanceLine,
    Allowances,
    Case,
    Core,
    Element,
    ItemGrowth,
    Lift,
    Method,
    Option,
    Pattern,
    RatedPace,
    Readings,
    ScrapCount,
    ShiftCount,
    Step,
    Stop,
    Study,
    WatchedShift,
)
from coreset.case.codes import codes_of
from coreset.errors import Fault, OutOfRange, StudyError
from coreset.forms.typed import converted
from coreset.store.folder import build, plain
from coreset.study.allowances import allowed
from coreset.text import say

SECTIONS = ("money", "line", "setter", "place")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """A list of a case: what its rows are, which field names them, their word, and what holds the list."""

    kind: type
    named: str
    word: str
    inside: str = ""
    fixed: bool = False
    """Whether rows are neither added nor taken away here: they are begun, timed and signed on Timing."""


LISTS = {
    "patterns": Rows(kind=Pattern, named="pattern", word="pattern"),
    "cores": Rows(kind=Core, named="core", word="core"),
    "lifts": Rows(kind=Lift, named="task", word="lifting_index"),
    "actions": Rows(kind=Action, named="action", word="action"),
    "methods": Rows(kind=Method, named="method", word="method"),
    "steps": Rows(kind=Step, named="name", word="step", inside="methods"),
    "allowances": Rows(kind=Allowances, named="name", word="allowance_set"),
    "lines": Rows(kind=AllowanceLine, named="cause", word="allowance", inside="allowances"),
    "studies": Rows(kind=Study, named="study", word="heading_of_a_study", fixed=True),
    "elements": Rows(kind=Element, named="name", word="element", inside="studies", fixed=True),
    "stops": Rows(kind=Stop, named="cause", word="stop", inside="line"),
    "counts": Rows(kind=ShiftCount, named="shift", word="count_on_the_floor"),
    "scrap": Rows(kind=ScrapCount, named="cause", word="scrap"),
    "raters": Rows(kind=RatedPace, named="observer", word="rater_check"),
    "delays": Rows(kind=WatchedShift, named="shift", word="work_sampling"),
    "options": Rows(kind=Option, named="option", word="option"),
    "growth": Rows(kind=ItemGrowth, named="item", word="inflation"),
    "actuals": Rows(kind=Actual, named="item", word="audit"),
}
IN_ORDER = ("steps", "lines")
"""Lists whose order counts or is read."""


def rows_of(case: Case, place: str, owner: int | None = None) -> tuple[Any, ...]:
    """Rows of a list; of one owner where rows of another list hold it.

    Parameters
    ----------
    case : Case
        The case.
    place : str
        A list, see `LISTS`.
    owner : int, optional
        Number of the row that holds it; none is held without one.
    """
    inside = LISTS[place].inside
    if not inside:
        return getattr(case, place)
    holder = getattr(case, inside)
    if owner is None:
        return getattr(holder, place) if inside in SECTIONS else ()
    return getattr(holder[owner], place)


def label(place: str, row: Any) -> str:
    """What a row is called; others of its list may be called the same."""
    parts = [getattr(row, name, "") for name in ("pattern", LISTS[place].named, "condition", "taken", "shown")]
    return " ".join(dict.fromkeys(filter(None, parts)))


def names(case: Case, place: str, owner: int | None = None) -> tuple[str, ...]:
    """Names of the rows of a list, as one picks from them; rows of the same name are told apart by a number.

    Parameters
    ----------
    case : Case
        The case.
    place : str
        A list, see `LISTS`.
    owner : int, optional
        Number of the row that holds it.
    """
    found: list[str] = []
    for row in rows_of(case, place, owner):
        name = label(place, row)
        found.append(name if name not in found else say("front.facts.again", name=name, no=len(found) + 1))
    return tuple(found)


def owners(case: Case, place: str) -> tuple[str, ...]:
    """Names of the rows that hold a list each; empty where there is but one list of that kind."""
    inside = LISTS[place].inside if place in LISTS else ""
    return names(case, inside) if inside in LISTS else ()


def value_at(case: Case, place: str, row: int | None, owner: int | None) -> Any:
    """What a form shows: the case, a section, or one row; None for a new row.

    Parameters
    ----------
    case : Case
        The case.
    place : str
        A section, a list, or `case`.
    row, owner : int or None
        Numbers of the row and of the row that holds its list.
    """
    if place not in LISTS:
        return case if place == "case" else getattr(case, place)
    found = rows_of(case, place, owner)
    return found[row] if row is not None and row < len(found) else None


def kind_of(case: Case, place: str) -> type:
    """Kind of the values of a place."""
    if place in LISTS:
        return LISTS[place].kind
    return Case if place == "case" else type(getattr(case, place))


def changed(
    case: Case, place: str, typed: Mapping[str, Any], *, row: int | None = None, owner: int | None = None
) -> Case:
    """The case with values put in, checked as its files are.

    Parameters
    ----------
    case : Case
        As it is.
    place : str
        A section, a list, or `case` for its own fields.
    typed : mapping
        New values by field name, as a form gives them: several names as a list, several numbers as a text.
    row : int, optional
        Row of a list; one past the last adds a row.
    owner : int, optional
        Row of the list that holds the list.

    Returns
    -------
    Case

    Raises
    ------
    StudyError
        With every fault: what was found and what was expected.
    """
    kind = kind_of(case, place)
    now = value_at(case, place, row, owner)
    values = converted(kind, typed, case.units, new=now is None)
    new = kind(**values) if now is None else dataclasses.replace(now, **values)
    if place not in LISTS:
        return checked(new if place == "case" else dataclasses.replace(case, **{place: new}), case)
    before = rows_of(case, place, owner)
    at = len(before) if row is None else row
    found = checked(_with_rows(case, place, owner, (*before[:at], new, *before[at + 1 :])), case)
    if place in ("lines", "allowances"):
        _known_allowances(found)
    return found


def _with_rows(case: Case, place: str, owner: int | None, new: Sequence[Any]) -> Case:
    inside, rows = LISTS[place].inside, {place: tuple(new)}
    if not inside:
        return _replaced(case, rows)
    holder = getattr(case, inside)
    if owner is None:
        return _replaced(case, {inside: _replaced(holder, rows)})
    return _replaced(case, {inside: (*holder[:owner], _replaced(holder[owner], rows), *holder[owner + 1 :])})


def _replaced(held: Any, changes: Mapping[str, Any]) -> Any:
    """A row or a case with fields changed whose names are known only when the program runs."""
    return dataclasses.replace(held, **changes)


def _known_allowances(case: Case) -> None:
    """Refuse a line that its table does not have."""
    for found in case.allowances:
        try:
            allowed(case, found)
        except OutOfRange as error:
            words = str(error)
            where = next((name for name in ("cause", "condition") if words.startswith(name)), "percent")
            raise StudyError([Fault(file=found.name, column=where, found=found.name, expected=words)]) from error


def without(case: Case, place: str, row: int, owner: int | None = None) -> Case:
    """The case without one row of a list.

    Parameters
    ----------
    case : Case
        The case.
    place : str
        A list.
    row, owner : int
        Numbers of the row and of the row that holds its list.

    Raises
    ------
    StudyError
        If what is left would not be read: something still names the row.
    """
    before = rows_of(case, place, owner)
    return checked(_with_rows(case, place, owner, (*before[:row], *before[row + 1 :])), case)


def earlier(case: Case, place: str, row: int, owner: int | None = None) -> Case:
    """The case with one row of a list before the one that was before it.

    Parameters
    ----------
    case : Case
        The case.
    place : str
        A list.
    row, owner : int
        Numbers of the row and of the row that holds its list; the first row stays where it is.
    """
    found = list(rows_of(case, place, owner))
    found.insert(max(0, row - 1), found.pop(row))
    return checked(_with_rows(case, place, owner, found), case)


def checked(case: Case, before: Case) -> Case:
    """The same case, if its files would be taken; codes that it had before stay."""
    return build(plain(case), held=frozenset().union(*codes_of(before).values()))


def refuse_new_faults(before: Case, after: Case) -> None:
    """Nothing, if a change of the studies brings no fault that was not there before; readings are looked at elsewhere.

    Raises
    ------
    StudyError
        With every new fault.
    """
    old = {str(fault) for fault in _faults(before)}
    new = [fault for fault in _faults(after) if str(fault) not in old]
    if new:
        raise StudyError(new)


def _faults(case: Case) -> tuple[Fault, ...]:
    bare = (dataclasses.replace(study, readings=Readings(), corrections=()) for study in case.studies)
    try:
        build(plain(dataclasses.replace(case, studies=tuple(bare))))
    except StudyError as error:
        return error.faults
    return ()
