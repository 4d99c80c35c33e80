"""Case: what is decided, where the job stands, what to do next; other cases, and what was changed."""

import streamlit as st

from coreset.brief.case_status import found_cases, next_step, standing, trail
from coreset.lifting.report.actions import overdue_sentence
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

case, book = session.case(), session.book()
layout.named("front.case")
st.caption(layout.plain(case.title))
answer = st.container()  # first on the page, calculated last
st.header(say("front.case.others"), anchor=False)
left, right = st.columns(2)
wanted = left.text_input(say("front.case.search"), help=say("front.case.search_help"))
shown = found_cases(book.cases(), wanted)
names = {row.case_id: row.title for row in shown}
chosen = right.selectbox(
    say("front.case.open"),
    list(names),
    format_func=lambda name: f"{name}: {names[name]}",
    index=None,
    placeholder=say("front.case.choose"),
    help=layout.word("case"),
)
if chosen:
    session.open_case(chosen)
    st.rerun()
new = left.text_input(say("front.case.new"), help=say("front.case.new_help"))
changes_kept = session.may("edit")
if left.button(say("front.case.start"), disabled=not new.strip() or not changes_kept):
    session.start(new.strip())
    st.rerun()
st.header(say("front.case.changes"), anchor=False)
changes = book.trail(session.case_id())
layout.undo()
results.rows(trail(changes))
layout.safety()
with answer:
    if next_step(case):
        layout.answer(standing(case))
    else:
        results.verdict(session.assessment())
    told = "" if next_step(case) else case.date
    results.sentences([overdue_sentence(case.actions, session.today(), told=told)], show=st.warning)
