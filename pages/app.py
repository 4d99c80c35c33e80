"""Router: the door, the pages on top, a refusal in plain words in the place of a page that cannot be."""

from pathlib import Path

import streamlit as st

from coreset.brief import say
from coreset.errors import CoresetError
from coreset.pages import parts, session, who
from coreset.pages.door import entrance, visit
from coreset.pages.plan import pages
from coreset.pages.refusal import refused
from coreset.pages.theme import chart_colours

st.set_page_config(page_title=say("front.name"), layout="wide", initial_sidebar_state="collapsed")
st.html(Path(__file__).with_name("paper.css"))
st.html(chart_colours())
guest = visit.visit() if visit.shared() else None
shut = guest is not None and guest.person is None
page = st.navigation(pages(), position="hidden" if shut else "top")
if shut:
    entrance.stay_out(guest)
    st.stop()
try:
    st.query_params["case"] = session.read()
    if guest is not None:
        entrance.inside(guest.person)
    with parts.bar(session.case()):
        who.ask()
    if kept := session.last_kept():
        st.toast(parts.plain(kept))
    told = st.empty()  # there in every run: what stands after it keeps its place, and a tab that was chosen stays
    if refusal := session.last_refused():
        told.error(parts.plain(refusal))
        st.toast(say("front.code.unkept"))
    elif warning := who.warning():
        told.warning(parts.plain(warning))
    page.run()
except CoresetError as error:
    refused(error)
