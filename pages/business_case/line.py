"""Line: what it makes with either method, what each second is worth, and whether the setter can hold the cores."""

import streamlit as st

from coreset.line.charts import stations as charts
from coreset.line.report import sentences, tables, working
from coreset.pages.business_case import line_bridge, line_cycle, line_fit, line_flow, line_jobs
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

layout.head("line.page")
found = session.assessment()
if not found.line:
    layout.answer(say("line.page.nothing"))
    st.stop()
layout.answer(session.worded(lambda: sentences.answer(found.case, found.line), "line.answer"))
names = ("bridge", "rates", "cycle", "flow", "jobs", "fit")
bridge, rates, cycle, flow, jobs, fit = st.tabs([say(f"line.page.{name}") for name in names])
with bridge:
    line_bridge.seconds_to_money(found)
with rates:
    results.picture(lambda: charts.rates(found.case, found.line), "rates")
    results.rows(lambda: tables.rates(found.line), "line.rates")
    st.caption(sentences.rates_notes(found.line))
    results.working(lambda: working.rates(found.case, found.line, seed=found.seed), "line.rates")
with cycle:
    line_cycle.mold_cycle(found)
with flow:
    line_flow.flow_of_pattern(found)
with jobs:
    line_jobs.mean_shift(found)
with fit:
    line_fit.setter_fit(found.case)
st.caption(say("line.safety"))
