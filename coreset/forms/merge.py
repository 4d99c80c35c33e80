"""An edit carries the state it was made on: it is joined with what others saved since, or the conflict is told.

In: the case as the form showed it, the case as it is now, the row by its name, typed values. Out: a case.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from coreset.case import Case, column
from coreset.errors import Fault, StudyError
from coreset.forms.editing import LISTS, changed, earlier, kind_of, label, names, owners, rows_of, value_at, without
from coreset.forms.fields import Asked, fields
from coreset.forms.typed import converted
from coreset.text import say

MOST_TOLD = 6
"""Changes that the log names one by one; of more it says how many."""


class Conflict(StudyError):
    """Somebody else saved another value since the form was opened; `theirs` holds it, as text, by column."""

    def __init__(self, faults: list[Fault], theirs: Mapping[str, str]) -> None:
        super().__init__(faults)
        self.theirs = dict(theirs)


def indices(case: Case, place: str, name: str | None, owner: str | None) -> tuple[int | None, int | None]:
    """Where a row and the row that holds its list stand now, found by their names; None where there is no such name.

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

    Raises
    ------
    Conflict
        If the row is no longer there, or cannot be told from others.
    """
    held = _index(owners(now, place), owner, place)
    if name is None:
        return None, held
    at, held_before = indices(base, place, name, owner)
    before, current = rows_of(base, place, held_before), rows_of(now, place, held)
    shown = before[at]
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
    """What somebody else changed in the fields of an open form, in words; that its row is gone if it is."""
    try:
        current = value_at(now, place, *place_now(base, now, place, name, owner))
    except Conflict as conflict:
        return tuple(fault.expected for fault in conflict.faults)
    labels = {one.name: one.label for one in asked}
    return saved_since(labels, value_at(base, place, *indices(base, place, name, owner)), current)


def changes_in_words(place: str, before: Any, after: Any, units: str, currency: str) -> str:
    """What an edit changed, each field with its old and its new value; the first MOST_TOLD of them.

    Parameters
    ----------
    place : str
        Name of the section or row, as the person sees it.
    before, after : object
        Values of one kind: a section or a row; None where a row is new.
    units, currency : str
        Of the case.
    """
    if before is None:
        return say("front.facts.added", place=place)
    labels = {one.name: one.label for one in fields(type(after), units, {}, currency)}
    told = [
        say(
            "front.facts.old_new",
            field=label,
            old=value_text(getattr(before, name)),
            new=value_text(getattr(after, name)),
        )
        for name, label in labels.items()
        if getattr(before, name) != getattr(after, name)
    ]
    rest = [say("front.number.others", count=len(told) - MOST_TOLD)] if len(told) > MOST_TOLD else []
    changes = "; ".join([*told[:MOST_TOLD], *rest])
    return say("front.facts.changed", place=place, changes=changes) if told else say("front.facts.why", place=place)


def rows_in_words(place: str, before: Sequence[Any], after: Sequence[Any], units: str, currency: str) -> str:
    """What the grid of a list changed: rows whose fields have other values, each with old and new; rows added, gone."""
    named = LISTS[place].named
    old = {label(place, row): row for row in before}
    new = {label(place, row): row for row in after}
    told = [
        changes_in_words(name, old[name], row, units, currency)
        for name, row in new.items()
        if name in old and old[name] != row
    ]
    told += [say("front.facts.added", place=name) for name in new if name not in old]
    told += [say("front.facts.gone", row=name) for name in old if name not in new]
    rest = [say("front.number.others", count=len(told) - MOST_TOLD)] if len(told) > MOST_TOLD else []
    return "; ".join([*told[:MOST_TOLD], *rest]) or say("front.facts.why", place=named)


def saved_since(labels: Mapping[str, str], before: Any, current: Any) -> tuple[str, ...]:
    """Fields, by name and label, that hold another value now than when the form was opened, each with that value."""
    return tuple(
        say("front.facts.since_field", field=label, theirs=value_text(getattr(current, name)))
        for name, label in labels.items()
        if getattr(before, name) != getattr(current, name)
    )


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


def value_text(value: Any) -> str:
    """A value as the conflict shows it: a range by its ends, elements by their names."""
    if isinstance(value, tuple):
        return ", ".join(str(getattr(one, "name", one)) for one in value)
    ends = [getattr(value, end, None) for end in ("low", "likely", "high")]
    return str(value) if None in ends else " / ".join(f"{end:g}" for end in ends)


def removed(
    base: Case, now: Case, place: str, name: str, *, owner: str | None = None, accepted: Mapping[str, str] | None = None
) -> Case:
    """The case without the row of that name; refused if somebody else changed it since it was shown.

    Raises
    ------
    Conflict
        If the row was changed or removed meanwhile.
    """
    row, held = place_now(base, now, place, name, owner)
    before, current = value_at(base, place, *indices(base, place, name, owner)), value_at(now, place, row, held)
    if before != current and (accepted or {}).get("") != str(current):
        fault = Fault(file=place, column="", found=name, expected=say("front.facts.row_changed"))
        raise Conflict([fault], {"": str(current)})
    return without(now, place, row, held)


def moved_up(base: Case, now: Case, place: str, name: str, *, owner: str | None = None) -> Case:
    """The case with the row that was shown under that name before the one that was before it."""
    row, held = place_now(base, now, place, name, owner)
    return earlier(now, place, row, held)
