"""Line, the bridge: how much of a second saved at the stopwatch reaches the schedule, and where the rest is lost."""

from typing import Any

import streamlit as st

from coreset.line.charts import bridge as charts
from coreset.line.report import bridge as words
from coreset.line.report import sentences
from coreset.pages.parts import layout, results
from coreset.text import say


def seconds_to_money(found: Any) -> None:
    """One pattern's bridge; then what was counted on the floor against what is predicted for it."""
    by_pattern = {one.pattern: one for one in found.bridges}
    if by_pattern:
        label = say("line.page.pattern")
        pattern = st.selectbox(label, list(by_pattern), key="line_bridge_pattern", help=layout.word("pattern"))
        one = by_pattern[pattern]
        results.picture(lambda: charts.bridge(one), "bridge", pattern, table=lambda: words.bridge_rows(one))
        st.markdown(layout.plain(words.lost(one)))
    else:
        layout.empty("line.bridge.none")
    results.sentences(lambda: sentences.floor(found.today), "line.today")
