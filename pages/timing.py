"""Timing: the clock of a study, its readings, and what was corrected."""

import streamlit as st

from coreset.pages import parts, session
from coreset.pages.clock.desk import choose
from coreset.pages.clock.widget import clock

left, right = st.columns([2, 1], vertical_alignment="bottom")
with left:
    parts.head("timing")
with right:
    study = choose(session.case())
clock(session.case_id(), study)
