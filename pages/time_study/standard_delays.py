"""Studies of delays on the Standards page: allowances found by watching shifts or by looks, and times to look at."""

from typing import Any

import streamlit as st

from coreset.pages.parts import layout, results
from coreset.study.delay_study import delay_studies
from coreset.study.report.delays import delay_sentences, delay_table, look_lines
from coreset.text import say

MOST_LOOKS, MOST_DAYS = 200, 100


def delays_found(case: Any) -> None:
    """What each study found, and times at which to look in the next shifts."""
    found = delay_studies(case.delays).values()
    results.rows(lambda: delay_table(found), "delays")
    for line in delay_sentences(found):
        st.write(line)
    if not found:
        st.write(say("study.delays.none"))
    count, over = st.columns(2)
    told = {"help": layout.word("work_sampling")}
    looks = count.number_input(say("study.delays.looks_asked"), 0, MOST_LOOKS, 0, **told)
    days = over.number_input(say("study.delays.days_asked"), 1, MOST_DAYS, 5, **told)
    if looks:
        st.text("\n".join(look_lines(case, looks=looks, days=days, seed=case.seed)))
