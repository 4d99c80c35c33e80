"""One part of the case as a form: a row is chosen, what is typed joined with what others saved, faults told."""

from collections.abc import Iterator
from contextlib import nullcontext
from typing import Any

import streamlit as st

from coreset.brief.case_status import faults_by_column, place_name
from coreset.errors import StudyError
from coreset.forms.changes import changes_in_words
from coreset.forms.editing import IN_ORDER, LISTS, kind_of, names, owners, value_at
from coreset.forms.fields import fields, known
from coreset.forms.merge import indices, merged, moved_up, others_saved, place_now, removed
from coreset.pages.parts import fields as widgets
from coreset.pages.parts import layout
from coreset.text import say
from coreset.web import session

WRONG, NEW = "facts_wrong", "\N{HEAVY PLUS SIGN}"


def form_of_place(case: Any, place: str, *, boxes: Iterator[Any], key: str, folded: bool) -> None:
    """The form of a section, or of one row of a list.

    Parameters
    ----------
    case : Case
        As it is now.
    place : str
        A section, a list, or `case`.
    boxes : iterator of columns
        Where the lists stand from which the row is chosen.
    key : str
        Of those lists; the choice is kept under it.
    folded : bool
        Whether the form of a row is folded, below the grid of all rows.
    """
    owner = _owner(case, place, boxes, key)
    row = _row(case, place, owner, boxes, key)
    if place in LISTS and row is None:
        return
    name = None if row == NEW else row
    form = session.form_of(place, owner, row)
    base = session.opened_form(form)
    failed, wrong, accepted = st.session_state.get(WRONG, ("", {}, {}))
    wrong, accepted = (wrong, accepted) if failed == form else ({}, {})
    at = {"place": place, "name": name, "owner": owner, "accepted": accepted}
    try:
        shown = None if row == NEW else value_at(base, place, *indices(base, place, name, owner))
        names_known = known(case, place, indices(base, place, None, owner)[1])
        asked = fields(kind_of(case, place), case.units, names_known, case.currency)
        layout.wrong(wrong, at=[one.column for one in asked])
        unfolded = bool(wrong) or row == NEW
        with st.expander(say("front.grid.one_row"), expanded=unfolded) if folded else nullcontext():
            typed = widgets.form(asked, shown, key=form, wrong=wrong, kind=kind_of(case, place))
        if typed is None and shown is not None and base is not case:
            layout.saved_since(others_saved(asked, base, case, place, name=name, owner=owner))
        if typed is not None:
            with session.told():
                _save(base, case, typed, key=f"{key}_row.{place}.{owner}", **at)
            st.rerun()
        if name is not None and not LISTS[place].fixed:
            _remove_or_move(base, case, key=f"{key}_row.{place}.{owner}", **at)
    except StudyError as error:
        st.session_state[WRONG] = (form, faults_by_column(error), getattr(error, "theirs", {}))
        st.rerun()


def _owner(case: Any, place: str, boxes: Iterator[Any], key: str) -> str | None:
    """The row that holds the list, where rows of another list do."""
    held = owners(case, place)
    if not held:
        return None
    key = f"{key}_owner.{place}"
    help_ = layout.word(LISTS[LISTS[place].inside].word)
    return next(boxes).selectbox(say("front.facts.owner"), layout.still(held, key), key=key, help=help_)


def _row(case: Any, place: str, owner: str | None, boxes: Iterator[Any], key: str) -> str | None:
    """The row, `NEW` for one to add; none in a section, or where there is none to choose."""
    if place not in LISTS or (LISTS[place].inside in LISTS and owner is None):
        return None
    held = owners(case, place)
    at = held.index(owner) if owner in held else None
    own = names(case, place, at) if owner is None or at is not None else ()
    key = f"{key}_row.{place}.{owner}"
    layout.choose_next(key)
    return next(boxes).selectbox(
        say("front.facts.row"),
        layout.still([*own, *([] if LISTS[place].fixed else [NEW])], key),
        format_func=lambda name: say("front.facts.new") if name == NEW else name,
        key=key,
        help=layout.word(LISTS[place].word),
    )


def _save(base: Any, case: Any, typed: Any, *, key: str, place: str, name: Any, owner: Any, accepted: Any) -> None:
    new = merged(base, case, place, typed, name=name, owner=owner, accepted=accepted)
    row, held = place_now(base, case, place, name, owner) if place in LISTS else (None, None)
    before = None if place in LISTS and name is None else value_at(case, place, row, held)
    after = value_at(new, place, row, held)
    session.keep(new, changes_in_words(name or place_name(place), before, after, case.units, case.currency))
    if place in LISTS:
        layout.next_choice(key, names(new, place, held)[-1 if row is None else row])


def _remove_or_move(base: Any, case: Any, *, key: str, place: str, name: str, owner: Any, accepted: Any) -> None:
    left, right = st.columns(2)
    changes_kept = session.may("edit")
    own = names(case, place, indices(case, place, None, owner)[1])
    if left.button(say("front.facts.remove"), disabled=not changes_kept):
        with session.told():
            without = removed(base, case, place, name, owner=owner, accepted=accepted)
            session.keep(without, say("front.facts.gone", row=name))
            layout.next_choice(key, next(iter(names(without, place, indices(case, place, None, owner)[1])), NEW))
        st.rerun()
    if place in IN_ORDER and right.button(say("front.facts.up"), disabled=own[:1] == (name,) or not changes_kept):
        with session.told():
            session.keep(moved_up(base, case, place, name, owner=owner), say("front.facts.moved", row=name))
        st.rerun()
