"""Cycles: which method is faster, and what the timed cycles tell: order, shape, how many more, what looks odd."""

import streamlit as st

from coreset.brief import say, tables_study
from coreset.brief.say_study import cycles_answer, patterns_of, verdict, verdict_more
from coreset.charts import standards as charts
from coreset.pages import cycles_study, parts, results, session

case = session.case()
parts.head("study.cycles")
timed = [study for study in case.studies if len(study.readings)]
if not timed:
    parts.empty("study.cycles.nothing")
    st.stop()
found = session.assessment()
compared = session.compared()
parts.answer(cycles_answer(list(compared.values()), case))
patterns = patterns_of(case, timed)
pattern = parts.one_of(patterns)
if pair := compared.get(pattern):
    results.sentences(lambda: [verdict(pair, case)], "verdict", pattern)
    results.picture(
        lambda: charts.densities(pair, case), "densities", pattern, table=lambda: tables_study.compared(pair.found)
    )
    results.sentences(lambda: verdict_more(pair, case), "verdict_more", pattern)
    st.caption(say("study.cycles.basis"))
else:
    st.markdown(parts.plain(say("study.cycles.not_both", pattern=pattern)))
cycles_study.show(case, [study for study in timed if study.pattern == pattern], found.standards)
