"""Overview: verdict, figures, one chart; time, people, what is open; other cases, and what was changed."""

import streamlit as st

from coreset.brief.case_status import next_step, stages, standing
from coreset.lifting.report.actions import overdue_sentence
from coreset.pages.overview import cases, decided
from coreset.pages.parts import layout
from coreset.web import navigation, session

case = session.case()
st.title(layout.plain(case.title), anchor=False)
todo = next_step(case)
if todo is None:
    decided.first_screen(case, others=cases.listed)
else:
    layout.answer(standing(case))
    for stage in stages(case):
        if stage.done:
            st.markdown(f":material/check_circle: {layout.plain(stage.step)}")
        else:
            page, place = stage.entered
            at = {"place": place} if place else {}
            navigation.link(page, stage.step, icon=":material/radio_button_unchecked:", **at)
    cases.listed()
told = overdue_sentence(case.actions, session.today(), told="" if todo else case.date)
if told:
    st.warning(layout.plain(told))
cases.case_library()
layout.safety()
