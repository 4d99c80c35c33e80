# longer because it also takes what was really paid and saved
"""Audit: what the decision promised against what new studies and actual costs give."""

import streamlit as st

from coreset.brief import say, say_audit
from coreset.brief.asking import fields, known
from coreset.brief.editing import changed, kind_of
from coreset.brief.say_case import faults_by_column
from coreset.errors import StudyError
from coreset.money.audit import audit
from coreset.pages import fields as widgets
from coreset.pages import parts, results, session

PLACE, WRONG = "actuals", "actuals_wrong"
parts.head("money.audit")
trail = session.book().trail(session.case_id())
told = {row.revision: say("money.audit.kept", when=row.when, who=row.who, why=row.why) for row in reversed(trail[1:])}
kept = {number: session.in_manner(words) for number, words in told.items()}
revision = None
if kept:
    revision = st.selectbox(say("money.audit.choose"), list(kept), format_func=kept.get, help=parts.word("correction"))
found = session.assessment()
now, case = found.money, found.case
before = session.assessment_of(session.as_kept(revision)).money if revision is not None else None
if now is None or before is None:
    parts.empty("money.audit.none")
else:
    rows = audit(before, now, case.actuals)
    parts.answer(say_audit.answer(rows, now.currency))
    for sentence in say_audit.not_entered(rows):
        st.markdown(parts.plain(sentence))
    results.rows(say_audit.figures(rows, now.currency))
    st.caption(say("money.audit.text"))
    results.rows(say_audit.table(rows, now.currency))
st.header(say("money.audit.entered"), anchor=False)
results.rows(say_audit.entries(case.actuals, case.currency))
st.caption(say("money.audit.change") if case.actuals else say("money.audit.nothing"))
wrong = st.session_state.pop(WRONG, {})
with st.expander(say("money.audit.add"), expanded=bool(wrong)):
    asked = fields(kind_of(case, PLACE), case.units, known(case, PLACE, None))
    parts.wrong(wrong, at=[one.column for one in asked])
    typed = widgets.form(asked, None, key=f"{session.case_id()}.actuals.{len(case.actuals)}", wrong=wrong)
if typed is not None:
    try:
        new = changed(case, PLACE, typed, row=len(case.actuals))
        with session.told():
            session.keep(new, say("money.audit.why", item=new.actuals[-1].item, year=new.actuals[-1].year))
    except StudyError as error:
        st.session_state[WRONG] = faults_by_column(error)
    st.rerun()
