"""Audit: what the decision promised against what new studies and actual costs give."""

from dataclasses import replace

import streamlit as st

from coreset.brief.case_status import faults_by_column
from coreset.errors import StudyError
from coreset.forms.editing import changed, kind_of
from coreset.forms.fields import fields, known
from coreset.money.post_audit import audit
from coreset.money.promise import promise_rows, promised
from coreset.money.reforecast import reforecast
from coreset.money.report import post_audit
from coreset.pages.parts import fields as widgets
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

PLACE, WRONG = "actuals", "actuals_wrong"
layout.head("money.audit")
found = session.assessment()
now, case = found.money, found.case
approved = promised(case.promised)
trail = session.book().trail(session.case_id())
told = {row.revision: say("money.audit.kept", when=row.when, who=row.who, why=row.why) for row in reversed(trail[1:])}
kept = {number: session.in_manner(words) for number, words in told.items()}
if approved is not None:
    kept = {None: session.in_manner(say("money.audit.approved", day=approved.day, who=approved.who))} | kept
before = None
if kept:
    revision = st.selectbox(say("money.audit.choose"), list(kept), format_func=kept.get, help=layout.word("correction"))
    before = approved if revision is None else session.assessment_of(session.as_kept(revision)).money
if now is not None:
    able = session.may("sign")
    with st.container() if approved is None else st.popover(say("money.audit.replace"), disabled=not able):
        if approved is not None:
            st.markdown(layout.plain(say("money.audit.replace_ask", day=approved.day, who=approved.who)))
        key = "approve" if approved is None else "replace_it"
        wanted = st.button(say(f"money.audit.{key}"), help=say("money.audit.approve_help"), disabled=not able)
    if wanted:
        with session.told():
            rows = promise_rows(now, session.who(), session.today())
            session.keep(replace(case, promised=rows), say("money.audit.approve_why"))
        st.rerun()
if now is None or before is None:
    layout.empty("money.audit.none")
else:
    rows = audit(before, now, case.actuals)
    layout.answer(post_audit.answer(rows, now.currency))
    for sentence in post_audit.not_entered(rows):
        st.markdown(layout.plain(sentence))
    for sentence in post_audit.forecast(reforecast(before, now, case.actuals), now.currency):
        st.markdown(layout.plain(sentence))
    results.rows(post_audit.figures(rows, now.currency))
    st.caption(say("money.audit.text"))
    results.rows(post_audit.table(rows, now.currency))
st.header(say("money.audit.entered"), anchor=False)
results.rows(post_audit.entries(case.actuals, case.currency))
st.caption(say("money.audit.change") if case.actuals else say("money.audit.nothing"))
wrong = st.session_state.pop(WRONG, {})
with st.expander(say("money.audit.add"), expanded=bool(wrong)):
    asked = fields(kind_of(case, PLACE), case.units, known(case, PLACE, None), case.currency)
    layout.wrong(wrong, at=[one.column for one in asked])
    typed = widgets.form(asked, None, key=session.form_of("actuals"), wrong=wrong, kind=kind_of(case, PLACE))
if typed is not None:
    try:
        new = changed(case, PLACE, typed, row=len(case.actuals))
        with session.told():
            session.keep(new, say("money.audit.why", item=new.actuals[-1].item, year=new.actuals[-1].year))
    except StudyError as error:
        st.session_state[WRONG] = faults_by_column(error)
    st.rerun()
