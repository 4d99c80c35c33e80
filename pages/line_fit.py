"""Line, the setter's fit: which cores it holds by reckoning, what is missing, and the caution that ends it."""

from typing import Any

import streamlit as st

from coreset.brief import say, say_fit, working_line
from coreset.charts import line as charts
from coreset.line.fit import fits
from coreset.pages import parts, results, session


def show(case: Any) -> None:
    """Verdict, curves of one pattern, every core, what to check, loss of vacuum, the last word."""
    found = session.once(lambda: fits(case), "fits")
    if not found:
        parts.empty("line.fit.nothing")
        return
    parts.answer(session.worded(lambda: say_fit.answer(case, found), "line.fit.answer"))
    results.sentences(lambda: say_fit.sentences(case, found), "line.fit")
    worst = session.once(lambda: {row.pattern: row for row in say_fit.worst_first(found)}, "fits", "worst first")
    name = st.selectbox(
        say("line.page.pattern"),
        list(worst),
        key="line_fit_pattern",
        help=parts.word("pattern"),
    )
    results.picture(lambda: charts.fit(case, worst[name]), "fit", name, table=lambda: say_fit.rows([worst[name]]))
    st.header(say("line.page.all_cores"), anchor=False)
    results.rows(lambda: say_fit.rows(found), "line.fit")
    results.sentences(lambda: say_fit.reminders(found), "line.fit.reminders")
    results.working(lambda: working_line.fit(case, found), "line.fit")
    st.warning(say("line.vacuum_loss"))
    st.markdown(f"**{say('line.last_word')}**")
