"""Standard: what a mold takes under each method, element by element, with allowances, time balance and working."""

import streamlit as st

from coreset.pages.parts import layout, results
from coreset.pages.time_study import (
    standard_data,
    standard_delays,
    standard_pace,
    standard_rater,
    standard_register,
    standard_study,
)
from coreset.study.charts import standards as charts
from coreset.study.report import tables
from coreset.study.report.sentences import patterns_of, standard_answer
from coreset.text import say
from coreset.web import session

layout.head("study.standard")
case, found = session.case(), session.assessment()
rows = list(found.pooled.values())
if not rows:
    layout.answer(standard_answer(rows))
    st.stop()
patterns = patterns_of(case, rows)
answer = st.empty()
pattern = layout.one_of(patterns)
with answer:
    layout.answer(standard_answer([row for row in rows if row.pattern == pattern]))
if any(row.method in (case.baseline, case.candidate) for row in rows):
    results.picture(lambda: charts.overview(rows, case), "overview", table=lambda: tables.standards(rows))
shown = standard_study.standard_of_pattern(case, [row for row in found.standards if row.pattern == pattern], found)
folds = {
    "brief.register.title": lambda: standard_register.register_of_standards(found),
    "brief.head.delays": lambda: standard_delays.delays_found(case),
    "study.data.title": lambda: standard_data.element_drivers(case, found.pooled),
    "study.standard.section_rater": lambda: standard_rater.rating_check(case),
    "study.levelling.title": standard_rater.level,
    "study.pace.title": lambda: standard_pace.rate(shown),
    "study.machines.title": lambda: standard_pace.machines(case, shown),
}
for title, show in folds.items():
    with st.expander(say(title), key=title, on_change="rerun") as fold:
        if fold.open:
            show()
