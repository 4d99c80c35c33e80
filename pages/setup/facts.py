"""Facts: everything that was entered about the plant, its patterns, methods, lifts and prices, to be changed."""

import streamlit as st

from coreset.brief.case_status import faults_by_column, place_name, standing
from coreset.errors import StudyError
from coreset.forms.editing import IN_ORDER, LISTS, SECTIONS, changed, earlier, kind_of, names, owners, value_at, without
from coreset.forms.fields import fields, known
from coreset.pages.parts import fields as widgets
from coreset.pages.parts import layout
from coreset.text import say
from coreset.web import session

WRONG = "facts_wrong"
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
        range(len(held)),
        format_func=held.__getitem__,
        key=key,
        help=layout.word(LISTS[LISTS[place].inside].word),
    )
if place in LISTS and not (LISTS[place].inside in LISTS and owner is None):
    found = [*names(case, place, owner), *([] if LISTS[place].fixed else [say("front.facts.new")])]
    key = f"facts_row.{place}.{owner}"
    row = next(boxes).selectbox(
        say("front.facts.row"),
        range(len(found)),
        format_func=found.__getitem__,
        key=key,
        help=layout.word(LISTS[place].word),
    )
form = f"{session.case_id()}.{session.revision()}.{place}.{owner}.{row}"
shown = value_at(case, place, row, owner)
failed, wrong = st.session_state.get(WRONG, ("", {}))
wrong = wrong if failed == form else {}
try:
    if shown is not None or row is not None:
        asked = fields(kind_of(case, place), case.units, known(case, place, owner))
        layout.wrong(wrong, at=[one.column for one in asked])
        typed = widgets.form(asked, shown, key=form, wrong=wrong)
        if typed is not None:
            new = changed(case, place, typed, row=row, owner=owner)
            with session.told():
                session.keep(new, say("front.facts.why", place=place_name(place)))
            st.rerun()
    if row is not None and shown is not None and not LISTS[place].fixed:
        left, right = st.columns(2)
        if left.button(say("front.facts.remove"), disabled=not changes_kept):
            with session.told():
                session.keep(without(case, place, row, owner), say("front.facts.gone", row=found[row]))
            st.rerun()
        if place in IN_ORDER and right.button(say("front.facts.up"), disabled=not row or not changes_kept):
            with session.told():
                session.keep(earlier(case, place, row, owner), say("front.facts.moved", row=found[row]))
            st.rerun()
except StudyError as error:
    st.session_state[WRONG] = (form, faults_by_column(error))
    st.rerun()
st.button(say("front.case.undo"), on_click=session.undo, disabled=session.revision() <= 1 or not changes_kept)
