"""Cycles: which method is faster, and what the timed cycles tell: order, shape, how many more, what looks odd."""

import streamlit as st

from coreset.pages.parts import layout, results
from coreset.pages.time_study import cycles_study
from coreset.study.charts import standards as charts
from coreset.study.report import tables
from coreset.study.report.sentences import cycles_answer, patterns_of, verdict, verdict_more
from coreset.text import say
from coreset.web import session

case = session.case()
layout.head("study.cycles")
timed = [study for study in case.studies if len(study.readings)]
if not timed:
    layout.empty("study.cycles.nothing")
    st.stop()
found = session.assessment()
compared = session.compared()
layout.answer(cycles_answer(list(compared.values()), case))
patterns = patterns_of(case, timed)
pattern = layout.one_of(patterns)
if pair := compared.get(pattern):
    results.sentences(lambda: [verdict(pair, case)], "verdict", pattern)
    results.picture(
        lambda: charts.densities(pair, case), "densities", pattern, table=lambda: tables.compared(pair.found)
    )
    results.sentences(lambda: verdict_more(pair, case), "verdict_more", pattern)
    occasional = any(e.occasional for study in timed if study.pattern == pattern for e in study.elements)
    st.caption(say("study.cycles.basis_occasional" if occasional else "study.cycles.basis"))
else:
    st.markdown(layout.plain(say("study.cycles.not_both", pattern=pattern)))
cycles_study.study_readings(case, [study for study in timed if study.pattern == pattern], found.standards)
