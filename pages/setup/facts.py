"""Facts: everything that was entered about the plant, its patterns, methods, lifts and prices, to be changed."""

from contextlib import nullcontext

import streamlit as st

from coreset.brief.case_status import faults_by_column, place_name, standing
from coreset.errors import StudyError
from coreset.forms.editing import IN_ORDER, LISTS, SECTIONS, kind_of, names, owners, value_at
from coreset.forms.fields import fields, known
from coreset.forms.grid import GRIDS
from coreset.forms.merge import changes_in_words, indices, merged, moved_up, others_saved, place_now, removed
from coreset.pages.parts import fields as widgets
from coreset.pages.parts import layout
from coreset.pages.setup import grid, people
from coreset.text import say
from coreset.web import session

WRONG, NEW = "facts_wrong", "\N{HEAVY PLUS SIGN}"
case, changes_kept = session.case(), session.may("edit")
layout.head("front.facts")
layout.answer(standing(case))
places = ["case", *SECTIONS, *LISTS]
boxes = iter(st.columns(3))
with layout.addressed("place", places, key="facts_place") as key:
    place = next(boxes).selectbox(
        say("front.facts.place"), places, format_func=place_name, key=key, help=layout.word("case")
    )
held, owner, row = owners(case, place), None, None
if held:
    key = f"facts_owner.{place}"
    owner = next(boxes).selectbox(
        say("front.facts.owner"),
        layout.still(held, key),
        key=key,
        help=layout.word(LISTS[LISTS[place].inside].word),
    )
if place in LISTS and not (LISTS[place].inside in LISTS and owner is None):
    at = held.index(owner) if owner in held else None
    own = names(case, place, at) if owner is None or at is not None else ()
    key = f"facts_row.{place}.{owner}"
    layout.choose_next(key)
    row = next(boxes).selectbox(
        say("front.facts.row"),
        layout.still([*own, *([] if LISTS[place].fixed else [NEW])], key),
        format_func=lambda name: say("front.facts.new") if name == NEW else name,
        key=key,
        help=layout.word(LISTS[place].word),
    )
name = None if row == NEW else row
form = session.form_of(place, owner, row)
base = session.opened_form(form)
if place in GRIDS:
    grid.show(case, place, place_name(place))
failed, wrong, accepted = st.session_state.get(WRONG, ("", {}, {}))
wrong, accepted = (wrong, accepted) if failed == form else ({}, {})
try:
    if place not in LISTS or row is not None:
        shown = None if row == NEW else value_at(base, place, *indices(base, place, name, owner))
        names_known = known(case, place, indices(base, place, None, owner)[1])
        asked = fields(kind_of(case, place), case.units, names_known, case.currency)
        layout.wrong(wrong, at=[one.column for one in asked])
        with (
            st.expander(say("front.grid.one_row"), expanded=bool(wrong) or row == NEW)
            if place in GRIDS
            else nullcontext()
        ):
            typed = widgets.form(asked, shown, key=form, wrong=wrong, kind=kind_of(case, place))
        if typed is None and shown is not None and base is not case:
            layout.saved_since(others_saved(asked, base, case, place, name=name, owner=owner))
        if typed is not None:
            new = merged(base, case, place, typed, name=name, owner=owner, accepted=accepted)
            with session.told():
                at, held_at = place_now(base, case, place, name, owner) if place in LISTS else (None, None)
                before = None if row == NEW else value_at(case, place, at, held_at)
                after = value_at(new, place, at, held_at)
                told = changes_in_words(name or place_name(place), before, after, case.units, case.currency)
                session.keep(new, told)
                if place in LISTS:
                    layout.next_choice(key, names(new, place, held_at)[-1 if at is None else at])
            st.rerun()
    if name is not None and not LISTS[place].fixed:
        left, right = st.columns(2)
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
except StudyError as error:
    st.session_state[WRONG] = (form, faults_by_column(error), getattr(error, "theirs", {}))
    st.rerun()
layout.undo()
people.show()
