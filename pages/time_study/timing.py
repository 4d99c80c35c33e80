"""Timing: the clock of a study, its video, readings with their corrections, header, files and signature."""

import streamlit as st

from coreset.pages.parts import layout
from coreset.pages.time_study.clock import desk, header, library, readings, result, set_apart, video_desk
from coreset.pages.time_study.clock.widget import clock
from coreset.study.report.timing import standing
from coreset.web import session

case, case_id = session.case(), session.case_id()
left, right = st.container(key="floor").columns([3, 1], vertical_alignment="bottom")
with left:
    layout.head("timing")
    answer = st.empty()
with right:
    shown_study = desk.choose(case)
if shown_study is None:
    layout.empty("timing.no_study")
    set_apart.removed(case)
    desk.begin(case)
    st.stop()
with answer:
    layout.answer(standing(shown_study))
study, *others = desk.sessions_of(case, shown_study.study)
shown, timed = desk.view(), len(shown_study.readings)
VIEWS = {
    "clock": lambda: (timed and desk.so_far(case, shown_study), clock(case_id, study)),
    "film": lambda: video_desk.film_clock(case_id, study),
    "readings": lambda: (
        set_apart.readings_apart(case, study),
        set_apart.removed(case),
        readings.corrections(case_id, shown_study),
    ),
    "elements": lambda: header.elements(case, study),
    "header": lambda: header.header(case, study),
    "exchange": lambda: readings.exchange(case, shown_study),
    "standard": lambda: result.standard_so_far(case, shown_study),
    "library": lambda: library.element_library(case),
    "sign": lambda: desk.sign(case_id, study, [study, *others]),
}
with st.container(key="floor-desk"):
    VIEWS[shown]()
    desk.told(shown_study, study)
    desk.begin(case)
