"""Compare: two cases of the book side by side."""

import streamlit as st

from coreset.brief import say
from coreset.brief.say_compare import answer, lacking, rows
from coreset.errors import CoresetError
from coreset.pages import parts, plan, results, session

parts.head("front.compare")
names = [row.case_id for row in session.book().cases() if row.case_id != session.case_id()]
if not names:
    parts.answer(say("front.compare.only_one"))
    plan.link("case", say("front.compare.start"))
    st.stop()
other = st.selectbox(say("front.compare.with"), names, help=say("front.compare.with_help"))
pair = (session.case_id(), other)
theirs = session.book().open(other)
found = session.assessment(), None
try:
    found = found[0], session.assessment_of(theirs)
except CoresetError as error:
    parts.answer(lacking(other, theirs, error))
    st.stop()
parts.answer(answer(*found, pair))
results.rows(rows(*found, pair))
parts.safety()
