"""Facts: everything that was entered about the plant, its patterns, lifts and prices, to be changed with a reason."""

import streamlit as st

from coreset.brief import say
from coreset.brief.editing import SECTIONS, TABLES, changed, rows_of, without
from coreset.brief.say_case import place_name, standing
from coreset.case import Case
from coreset.errors import StudyError
from coreset.pages import fields, parts, session

case = session.case()
parts.head("front.facts")
parts.answer(standing(case))
places = ["case", *SECTIONS, *TABLES]
left, right = st.columns(2)
place = left.selectbox(say("front.facts.place"), places, format_func=place_name)
row, kind = None, Case if place == "case" else type(getattr(case, place))
if place in TABLES:
    names = [*rows_of(case, place), say("front.facts.new")]
    row, kind = right.selectbox(say("front.facts.row"), range(len(names)), format_func=names.__getitem__), TABLES[place]
shown = case if place == "case" else getattr(case, place)
if row is not None:
    shown = shown[row] if row < len(shown) else None
try:
    typed = fields.form(kind, shown, case.units, key=f"{session.case_id()}.{place}.{row}")
    if typed is not None:
        session.keep(changed(case, place, typed, row=row), say("front.facts.why", place=place_name(place)))
        st.rerun()
    if row is not None and shown is not None and st.button(say("front.facts.remove")):
        session.keep(without(case, place, row), say("front.facts.gone", row=names[row]))
        st.rerun()
except StudyError as error:
    st.error(say("front.facts.faults"))
    parts.rows(parts.faults(error))
