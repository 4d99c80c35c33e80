"""Router: sign-in, the rooms on top, the views of a room, and the reason where a page cannot be shown."""

from pathlib import Path

import streamlit as st

from coreset.errors import CoresetError
from coreset.pages.overview import start
from coreset.pages.parts import layout, sign_in, who
from coreset.pages.parts.refusal import refused
from coreset.pages.setup import inputs
from coreset.text import say
from coreset.web import navigation, session
from coreset.web.sign_in import visit
from coreset.web.theme import chart_colours

st.set_page_config(page_title=say("front.name"), layout="wide", initial_sidebar_state="collapsed")
st.html(Path(__file__).with_name("paper.css"))
st.html(chart_colours())
layout.script(Path(__file__).with_name("page.js").read_text(encoding="utf-8").replace("LABEL", say("front.wide_table")))
guest = visit.visit() if visit.shared() else None
shut = guest is not None and guest.person is None
place = "hidden" if shut else "top"
opened = navigation.name_of(st.navigation(navigation.pages(), position=place))
page = st.navigation(navigation.pages(opened), position=place)  # again, now that its room is known
if shut:
    sign_in.stay_out(guest)
    st.stop()
try:
    new = opened == navigation.ORDER[0] and session.is_new()
    if not new:
        st.query_params["case"] = session.read()
    if guest is not None:
        sign_in.inside(guest.person)
    if new:
        start.first_steps()
        st.stop()
    if not session.sees_prices():
        st.info(say("door.no_prices"))
    with layout.bar(session.case(), opened):
        who.ask()
        inputs.offer(session.case(), opened)
    told = st.empty()  # there in every run: what stands after it keeps its place, and a tab that was chosen stays
    if refusal := session.last_refused():
        told.error(layout.plain(refusal))
        st.toast(say("front.code.unkept"))
    elif warning := who.warning():
        told.warning(layout.plain(warning))
    elif kept := session.last_kept():
        told.success(layout.plain(kept))  # stays until the next act: a message that goes by itself may go unread
    page.run()
except CoresetError as error:
    refused(error)
