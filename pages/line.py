"""Line: what it makes with either method, what each second is worth, and whether the setter can hold the cores."""

import streamlit as st

from coreset.brief import say, say_line, tables_line, working_line
from coreset.charts import line as charts
from coreset.pages import line_cycle, line_fit, line_flow, line_jobs, parts, results, session

parts.head("line.page")
found = session.assessment()
if not found.line:
    parts.answer(say("line.page.nothing"))
    st.stop()
parts.answer(session.worded(lambda: say_line.answer(found.case, found.line), "line.answer"))
names = ("rates", "cycle", "flow", "jobs", "fit")
rates, cycle, flow, jobs, fit = st.tabs([say(f"line.page.{name}") for name in names])
with rates:
    results.picture(lambda: charts.rates(found.case, found.line), "rates")
    results.rows(lambda: tables_line.rates(found.line), "line.rates")
    st.caption(say_line.rates_notes(found.line))
    results.working(lambda: working_line.rates(found.case, found.line, seed=found.seed), "line.rates")
with cycle:
    line_cycle.show(found)
with flow:
    line_flow.show(found)
with jobs:
    line_jobs.show(found)
with fit:
    line_fit.show(found.case)
st.caption(say("line.safety"))
