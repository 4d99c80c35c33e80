"""Router: the pages on top, the case bar under them, a refusal in plain words in the place of a page that cannot be."""

from pathlib import Path

import streamlit as st

from coreset.brief import say
from coreset.errors import CoresetError
from coreset.pages import parts, session
from coreset.pages.plan import pages
from coreset.pages.refusal import refused
from coreset.pages.theme import chart_colours

st.set_page_config(page_title=say("front.name"), layout="wide", initial_sidebar_state="collapsed")
st.html(Path(__file__).with_name("paper.css"))
st.html(chart_colours())
page = st.navigation(pages(), position="top")
try:
    st.query_params["case"] = session.read()
    parts.bar(session.case())
    if kept := session.last_kept():
        st.toast(kept)
    page.run()
except CoresetError as error:
    refused(error)
