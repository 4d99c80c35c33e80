"""Standard: what a mold takes under each method, element by element, with allowances, time balance and working."""

import streamlit as st

from coreset.brief import say, tables_study
from coreset.brief.say_study import patterns_of, standard_answer
from coreset.charts import standards as charts
from coreset.pages import parts, results, session, standard_data, standard_pace, standard_rater, standard_study

case, found = session.case(), session.assessment()
parts.head("study.standard")
rows = list(found.pooled.values())
if not rows:
    parts.answer(standard_answer(rows))
    st.stop()
patterns = patterns_of(case, rows)
answer = st.empty()
pattern = parts.one_of(patterns)
with answer:
    parts.answer(standard_answer([row for row in rows if row.pattern == pattern]))
results.picture(lambda: charts.overview(rows, case), "overview", table=lambda: tables_study.standards(rows))
shown = standard_study.show(case, [row for row in found.standards if row.pattern == pattern], found)
folds = {
    "study.data.title": lambda: standard_data.show(case, found.pooled),
    "study.standard.section_rater": lambda: standard_rater.show(case),
    "study.levelling.title": standard_rater.level,
    "study.pace.title": lambda: standard_pace.rate(shown),
    "study.machines.title": lambda: standard_pace.machines(case, shown),
}
for title, show in folds.items():
    with st.expander(say(title), key=title, on_change="rerun") as fold:
        if fold.open:
            show()
