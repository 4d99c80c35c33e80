"""What an edit changed, in words: for the log of changes, and for whoever has the same form open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from coreset.forms.editing import LISTS, label
from coreset.forms.fields import fields
from coreset.text import say

MOST_TOLD = 6
"""Changes that the log names one by one; of more it says how many."""


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
    """What the grid of a list changed: rows whose fields have other values, each with old and new; rows added, gone.

    Parameters
    ----------
    place : str
        A list, see `LISTS`.
    before, after : sequence of rows
        Its rows as the grid showed them, and as it leaves them.
    units, currency : str
        Of the case.
    """
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
    """Fields, by name and label, that hold another value now than when the form was opened, each with that value.

    Parameters
    ----------
    labels : mapping
        Label of each field of the form, by name.
    before, current : object
        Values of one kind, a section or a row: when the form was opened, and now.
    """
    return tuple(
        say("front.facts.since_field", field=label, theirs=value_text(getattr(current, name)))
        for name, label in labels.items()
        if getattr(before, name) != getattr(current, name)
    )


def value_text(value: Any) -> str:
    """A value as the conflict shows it: a range by its ends, elements by their names."""
    if isinstance(value, tuple):
        return ", ".join(str(getattr(one, "name", one)) for one in value)
    ends = [getattr(value, end, None) for end in ("low", "likely", "high")]
    return str(value) if None in ends else " / ".join(f"{end:g}" for end in ends)
