"""Handling: every task at the pace of its standard, what binds it, and what would improve it."""

from functools import cache

import streamlit as st

from coreset.brief.dataset import table
from coreset.lifting.charts.indices import all_tasks
from coreset.lifting.infrequent import seldom
from coreset.lifting.report.job_status import job_rows, jobs_sentence
from coreset.lifting.report.redesign import seldom_sentence
from coreset.lifting.report.register import register
from coreset.lifting.report.sentences import answer, limits_of, methods_of
from coreset.lifting.report.status import scheme_text, schemes
from coreset.lifting.report.task_table import plain_rows, task_rows
from coreset.lifting.report.uncertainty import sure_rows
from coreset.lifting.uncertainty import spreads
from coreset.pages.lifting import (
    handling_actions,
    handling_body,
    handling_crew,
    handling_pace,
    handling_redesign,
    one_lift,
)
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

case = session.case()
layout.head("handling.page")
if not case.lifts:
    layout.answer(say("handling.one.lead"))
    one_lift.lift_check(case)
    st.caption(say("handling.page.nothing"))
    st.caption(say("handling.caution.page"))
    st.stop()
answered = st.container()  # first on the page, calculated after the check of one lift is drawn
names = ("check", "tasks", "actions", "pace", "redesign", "crew", "body", "methods")
check, tasks, actions, pace, redesign, crew, body, methods = st.tabs([say(f"handling.page.{name}") for name in names])
with check:
    st.caption(say("handling.one.lead"))
    one_lift.lift_check(case)
found = session.lifting()
jobs = session.once(lambda: found.jobs, "jobs")
with answered:
    layout.answer(jobs_sentence(jobs))
with tasks:
    results.sentences([answer(found.handling, limit=case.place.lifting_index_limit)])
    results.rows(lambda: job_rows(jobs), "jobs")
    st.download_button(
        say("handling.register.download"),
        lambda: table(register(case, jobs, found.handling)),
        "lifts.csv",
        "text/csv",
        on_click="ignore",
        help=say("handling.register.download_help"),
    )
    scheme = st.segmented_control(
        say("handling.page.scheme"),
        schemes(),
        default=schemes()[0],
        format_func=lambda name: session.in_manner(scheme_text(name)),
        required=True,
        help=layout.word("lifting_index"),
    )
    spread = session.once(lambda: spreads(case, found.handling, found.pooled, seed=case.seed), "spreads")
    rows = cache(lambda: task_rows(found.handling, case.units, scheme=scheme, spreads=spread))
    results.picture(
        lambda: all_tasks(rows(), methods_of(found.handling, case.baseline, case.candidate)),
        "tasks",
        scheme,
        least=True,
    )
    results.rows(lambda: plain_rows(rows()), "tasks", scheme)
    results.sentences(
        lambda: [" ".join([*limits_of(found.handling), seldom_sentence(seldom(case, found.handling))])],
        "handling.limits",
        show=st.caption,
    )
    with st.expander(say("handling.sure.title")):
        results.rows(lambda: sure_rows(found.handling, spread), "handling.sure")
with actions:
    handling_actions.actions_on_jobs(case, found, jobs)
timed = list(found.pooled.values())
with pace:
    handling_pace.index_by_pace(case, timed)
with crew:
    handling_crew.crew(case, timed)
with body:
    handling_body.body(case, timed)
with methods:
    handling_body.methods(case, found.handling, timed)
with redesign:  # last, since its search takes longest
    handling_redesign.redesign_of_lift(case, found.handling, spread)
st.caption(say("handling.caution.page"))
