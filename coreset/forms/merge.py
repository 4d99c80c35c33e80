"""An edit carries the state it was made on: it is joined with what others saved since, or the conflict is told.

In: the case as the form showed it, the case as it is now, the row by its name, typed values. Out: a case.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from coreset.case import Case, column
from coreset.errors import Fault, StudyError
from coreset.forms.changes import saved_since, value_text
from coreset.forms.editing import LISTS, changed, earlier, kind_of, label, names, owners, rows_of, value_at, without
from coreset.forms.fields import Asked
from coreset.forms.typed import converted
from coreset.text import say


class Conflict(StudyError):
    """Somebody else saved another value since the form was opened; `theirs` holds it, as text, by column."""

    def __init__(self, faults: list[Fault], theirs: Mapping[str, str]) -> None:
        super().__init__(faults)
        self.theirs = dict(theirs)


def indices(case: Case, place: str, name: str | None, owner: str | None) -> tuple[int | None, int | None]:
    """Where a row and the row that holds its list stand now, found by their names; None where there is no such name.

    Parameters
    ----------
    case : Case
        The case.
    place : str
        A section, a list, or `case`.
    name, owner : str, optional
        Names of the row and of the row that holds its list, as `names` and `owners` give them.

    Raises
    ------
    Conflict
        If a row of that name is no longer there.
    """
    held = _index(owners(case, place), owner, place)
    return (None if name is None else _index(names(case, place, held), name, place)), held


def _index(known: tuple[str, ...], name: str | None, place: str) -> int | None:
    if name is None:
        return None
    if name not in known:
        gone = Fault(file=place, column="", found=name, expected=say("front.facts.row_gone"))
        raise Conflict([gone], {})
    return known.index(name)


def place_now(base: Case, now: Case, place: str, name: str | None, owner: str | None) -> tuple[int | None, int | None]:
    """Where the row that was shown under a name stands now, and the row that holds its list; None for no row.

    The row itself is looked for. Only if it was changed is it found by what it is called, and only where no other row
    of the list is or was called the same: the number behind a name belongs to whatever row comes there.

    Parameters
    ----------
    base, now : Case
        As the form showed it; as it is now.
    place : str
        A section, a list, or `case`.
    name, owner : str, optional
        Names in `base` of the row and of the row that holds its list.

    Returns
    -------
    row, owner : int or None
        Numbers in `now`.

    Raises
    ------
    Conflict
        If the row is no longer there, or cannot be told from others.
    """
    if name is None:
        return None, _index(owners(now, place), owner, place)
    return _row_now(base, now, place, name, owner)


def _row_now(base: Case, now: Case, place: str, name: str, owner: str | None) -> tuple[int, int | None]:
    """The same of a row that has a name: its number in `now`, and that of the row that holds its list."""
    held = _index(owners(now, place), owner, place)
    at, held_before = indices(base, place, name, owner)
    before, current = rows_of(base, place, held_before), rows_of(now, place, held)
    shown = value_at(base, place, at, held_before)
    if shown in current:
        return current.index(shown), held
    called = label(place, shown)
    same = [number for number, row in enumerate(current) if label(place, row) == called]
    if len(same) != 1 or [label(place, row) for row in before].count(called) != 1:
        raise Conflict([Fault(file=place, column="", found=name, expected=say("front.facts.row_gone"))], {})
    return same[0], held


def others_saved(
    asked: Iterable[Asked], base: Case, now: Case, place: str, *, name: str | None = None, owner: str | None = None
) -> tuple[str, ...]:
    """What somebody else changed in the fields of an open form, in words; that its row is gone if it is.

    Parameters
    ----------
    asked : iterable of Asked
        Fields of the form.
    base, now : Case
        As the form showed it; as it is now.
    place : str
        A section, a list, or `case`.
    name, owner : str, optional
        Names in `base` of the row and of the row that holds its list.
    """
    try:
        current = value_at(now, place, *place_now(base, now, place, name, owner))
    except Conflict as conflict:
        return tuple(fault.expected for fault in conflict.faults)
    labels = {one.name: one.label for one in asked}
    return saved_since(labels, value_at(base, place, *indices(base, place, name, owner)), current)


def merged(
    base: Case,
    now: Case,
    place: str,
    typed: Mapping[str, Any],
    *,
    name: str | None = None,
    owner: str | None = None,
    accepted: Mapping[str, str] | None = None,
) -> Case:
    """The case as it is now with the fields that were really changed in the form.

    Parameters
    ----------
    base, now : Case
        As the form showed it; as it is now.
    place : str
        A section, a list, or `case`.
    typed : mapping
        Values of the form by field name.
    name, owner : str, optional
        Names of the row and of the row that holds its list, as they were shown; no name adds a row.
    accepted : mapping, optional
        Values of others, by column, that were shown to the person and may be replaced.

    Raises
    ------
    Conflict
        With both values, where somebody else saved another value in the same field.
    StudyError
        If what was typed does not fit.
    """
    row, held = place_now(base, now, place, name, owner)
    if place in LISTS and name is None:
        return changed(now, place, typed, owner=held)
    before = value_at(base, place, *indices(base, place, name, owner))
    current = value_at(now, place, row, held)
    values = converted(kind_of(now, place), typed, now.units, new=False)
    own = {field: value for field, value in values.items() if value != getattr(before, field)}
    refuse_conflicts(before, current, own, now.units, accepted or {})
    return changed(now, place, {field: typed[field] for field in own}, row=row, owner=held) if own else now


def refuse_conflicts(
    before: Any, current: Any, own: Mapping[str, Any], units: str, accepted: Mapping[str, str]
) -> None:
    """Nothing, if no field of `own` holds another value now than before the edit, unless that value was accepted.

    Parameters
    ----------
    before, current : object
        Values of one kind, a section or a row: when the form was opened, and now.
    own : mapping
        What the person changed, by field name.
    units : str
        Of the case: a field's column carries its unit.
    accepted : mapping
        Values of others, as text by column, that were shown to the person and may be replaced.

    Raises
    ------
    Conflict
        With both values of each such field.
    """
    faults, theirs = [], {}
    fields = {field.name: field for field in type(current).__dataclass_fields__.values()}
    for name, value in own.items():
        other, where = getattr(current, name), column(fields[name], units)
        if other in (getattr(before, name), value) or accepted.get(where) == str(other):
            continue
        theirs[where] = str(other)
        told = say("front.facts.conflict", theirs=value_text(other))
        faults.append(Fault(file=type(current).__name__, column=where, found=value_text(value), expected=told))
    if faults:
        raise Conflict(faults, theirs)


def removed(
    base: Case, now: Case, place: str, name: str, *, owner: str | None = None, accepted: Mapping[str, str] | None = None
) -> Case:
    """The case without the row of that name; refused if somebody else changed it since it was shown.

    Parameters
    ----------
    base, now : Case
        As the list was shown; as it is now.
    place : str
        A list.
    name, owner : str, optional
        Names in `base` of the row and of the row that holds its list.
    accepted : mapping, optional
        Under an empty key the changed row, as text, that was shown to the person and may go.

    Raises
    ------
    Conflict
        If the row was changed or removed meanwhile.
    """
    row, held = _row_now(base, now, place, name, owner)
    before, current = value_at(base, place, *indices(base, place, name, owner)), value_at(now, place, row, held)
    if before != current and (accepted or {}).get("") != str(current):
        fault = Fault(file=place, column="", found=name, expected=say("front.facts.row_changed"))
        raise Conflict([fault], {"": str(current)})
    return without(now, place, row, held)


def moved_up(base: Case, now: Case, place: str, name: str, *, owner: str | None = None) -> Case:
    """The case with the row that was shown under that name before the one that was before it.

    Parameters
    ----------
    base, now : Case
        As the list was shown; as it is now.
    place : str
        A list, see `IN_ORDER`.
    name, owner : str, optional
        Names in `base` of the row and of the row that holds its list.

    Raises
    ------
    Conflict
        If the row is no longer there, or cannot be told from others.
    """
    row, held = _row_now(base, now, place, name, owner)
    return earlier(now, place, row, held)
