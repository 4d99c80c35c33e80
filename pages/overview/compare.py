"""Compare: two cases of the book side by side."""

import streamlit as st

from coreset.brief.compare import answer, changed_rows, lacking
from coreset.errors import CoresetError
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import navigation, session

layout.head("front.compare")
names = [row.case_id for row in session.book().cases() if row.case_id != session.case_id()]
if not names:
    layout.answer(say("front.compare.only_one"))
    navigation.link("case", say("front.compare.start"))
    st.stop()
other = st.selectbox(say("front.compare.with"), names, help=say("front.compare.with_help"))
pair = (session.case_id(), other)
theirs = session.book().open(other)
found = session.assessment(), None
try:
    found = found[0], session.assessment_of(theirs)
except CoresetError as error:
    layout.answer(lacking(other, theirs, error))
    st.stop()
layout.answer(answer(*found, pair))
results.rows(changed_rows(*found, pair))
layout.safety()
