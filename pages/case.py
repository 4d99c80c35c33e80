"""Case: what is decided, where the job stands, what to do next."""

import streamlit as st

from coreset.brief.say_case import stages, standing
from coreset.pages import parts, session

case = session.case()
parts.head("front.case")
parts.answer(standing(case))
st.caption(parts.plain(case.title))
for column, stage in zip(st.columns(5), stages(case), strict=True):
    column.markdown(f":material/{'check_circle' if stage.done else 'radio_button_unchecked'}: {stage.name}")
    column.caption(stage.words)
