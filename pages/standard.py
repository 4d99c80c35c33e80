"""Standard: what a mold takes under each method, element by element, with allowances, time balance and working."""

import streamlit as st

from coreset.brief import say, tables_study
from coreset.brief.say_rest import data_sentences
from coreset.brief.say_study import patterns_of, standard_answer
from coreset.charts import standards as charts
from coreset.pages import cycles_more, parts, session, standard_rater, standard_study
from coreset.study.estimate import lines

case, found = session.case(), session.assessment()
parts.head("study.standard")
rows = list(found.pooled.values())
if not rows:
    parts.answer(standard_answer(rows))
    st.stop()
patterns = patterns_of(case, rows)
answer = st.empty()
pattern = st.segmented_control(say("study.cycles.pattern"), patterns, default=patterns[0], required=True)
with answer:
    parts.answer(standard_answer([row for row in rows if row.pattern == pattern]))
parts.chart(charts.overview(rows, case), tables_study.standards(rows))
standard_study.show(case, [row for row in found.standards if row.pattern == pattern])
with st.expander(say("study.data.title")):
    if data := lines(case, found.pooled):
        parts.chart(charts.standard_data(data, case))
    cycles_more.sentences(data_sentences(data))
with st.expander(say("study.standard.section_rater"), key="standard_rater", on_change="rerun") as fold:
    if fold.open:
        standard_rater.show(case)
with st.expander(say("study.levelling.title")):
    standard_rater.level()
