# longer because it asks, draws and compares what if beside the chart itself
"""Line, mold cycle: the multiple-activity chart of both methods to scale, who waits for whom, and what if."""

from typing import Any

import streamlit as st

from coreset.brief import say, say_line, tables_charts, tables_line, working_line
from coreset.chart.what_if import what_ifs
from coreset.charts import activity
from coreset.pages import parts, results, session


def show(found: Any) -> None:
    """One pattern's mold cycle under the methods compared."""
    case = found.case
    names = list(dict.fromkeys(row.pattern for row in found.mold_cycles))
    pattern = st.selectbox(say("line.page.pattern"), names, key="line_cycle_pattern", help=parts.word("pattern"))
    rows = [
        r for m in (case.baseline, case.candidate) for r in found.mold_cycles if (r.pattern, r.method) == (pattern, m)
    ]
    rows = rows or [row for row in found.mold_cycles if row.pattern == pattern]
    results.picture(
        lambda: activity.activity(rows, case.baseline),
        "activity",
        pattern,
        table=lambda: tables_charts.steps([(row.method, row) for row in rows]),
    )
    for row in rows:
        st.markdown(parts.plain(" ".join(say_line.cycle(row))))
    results.rows(lambda: [line for row in rows for line in tables_line.shares(row)], "line.cycle", pattern)
    results.working(lambda: working_line.cycles(rows, seed=found.seed), "line.cycle", pattern)
    st.header(say("line.page.what_if"), anchor=False)
    pair = (pattern, rows[-1].method)
    changes = session.once(lambda: what_ifs(case, found.standards, pair=pair), "what_ifs", pair)
    if not changes:
        st.caption(say("line.cycle.no_changes"))
        return
    results.picture(lambda: activity.what_if(changes), "what_if", pair, table=lambda: tables_line.changes(changes))
    after = st.selectbox(
        say("line.page.what_if"),
        range(len(changes)),
        format_func=lambda i: say(f"line.change.{changes[i].code}"),
        help=parts.word("net_of_steps"),
        label_visibility="collapsed",
    )
    change = changes[after]
    results.picture(
        lambda: activity.before_after(change),
        "before_after",
        pair,
        after,
        table=lambda: tables_charts.before_after(change),
    )
