"""Timing: the clock of a study, its video, readings with their corrections, header, files and signature."""

import streamlit as st

from coreset.brief import say
from coreset.brief.say_timing import lack_sentence, standing
from coreset.pages import parts, session
from coreset.pages.clock import desk, film_desk, readings
from coreset.pages.clock.widget import clock

case, case_id = session.case(), session.case_id()
left, right = st.columns([2, 1], vertical_alignment="bottom")
with left:
    parts.head("timing")
    answer = st.empty()
with right:
    study = desk.choose(case)
if study is None:
    parts.empty("timing.no_study")
    desk.begin(case)
    st.stop()
with answer:
    parts.answer(standing(study))
shown = desk.view()
if shown == "clock":
    clock(case_id, study)
elif shown == "film":
    film_desk.film_clock(case_id, study)
elif shown == "readings":
    readings.corrections(case_id, study)
elif shown == "header":
    desk.header(case, study)
elif shown == "exchange":
    readings.exchange(case, study)
else:
    desk.sign(case_id, study)
if study.clock_trouble:
    st.warning(parts.plain(say("timing.trouble", trouble=study.clock_trouble)))
st.markdown(parts.plain(lack_sentence(study)))
desk.begin(case)
