"""Facts: everything that was entered about the plant, its patterns, methods, lifts and prices, to be changed."""

import streamlit as st

from coreset.brief.case_status import place_name, standing
from coreset.forms.editing import LISTS, SECTIONS
from coreset.forms.grid import GRIDS
from coreset.pages.parts import layout
from coreset.pages.setup import editor, grid, people
from coreset.text import say
from coreset.web import session

case = session.case()
layout.head("front.facts")
layout.answer(standing(case))
places = ["case", *SECTIONS, *LISTS]
boxes = iter(st.columns(3))
with layout.addressed("place", places, key="facts_place") as key:
    place = next(boxes).selectbox(
        say("front.facts.place"), places, format_func=place_name, key=key, help=layout.word("case")
    )
if place in GRIDS:
    grid.list_grid(case, place, place_name(place))
editor.form_of_place(case, place, boxes=boxes, key="facts", folded=place in GRIDS)
layout.undo()
people.people_of_server()
