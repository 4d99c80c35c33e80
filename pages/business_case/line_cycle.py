"""Line, mold cycle: the multiple-activity chart of both methods to scale, who waits for whom, and what if."""

from typing import Any

import streamlit as st

from coreset.line.charts import activity
from coreset.line.report import chart_tables, sentences, tables, working
from coreset.line.what_if import what_ifs
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session


def mold_cycle(found: Any) -> None:
    """One pattern's mold cycle under the methods compared."""
    case = found.case
    names = list(dict.fromkeys(row.pattern for row in found.mold_cycles))
    pattern = st.selectbox(say("line.page.pattern"), names, key="line_cycle_pattern", help=layout.word("pattern"))
    rows = [
        r for m in (case.baseline, case.candidate) for r in found.mold_cycles if (r.pattern, r.method) == (pattern, m)
    ]
    rows = rows or [row for row in found.mold_cycles if row.pattern == pattern]
    results.picture(
        lambda: activity.activity(rows, case.baseline),
        "activity",
        pattern,
        table=lambda: chart_tables.steps([(row.method, row) for row in rows]),
        least=True,
    )
    said = [sentences.cycle(row) for row in rows]
    for first, *_ in said:
        st.markdown(layout.plain(first))
    results.rows(lambda: [line for row in rows for line in tables.shares(row)], "line.cycle", pattern)
    with st.expander(say("money.view.why")):
        for row, (_, *more) in zip(rows, said, strict=True):
            st.markdown(layout.plain(f"{row.method}: {' '.join(more)}"))
        results.working(lambda: working.cycles(rows, seed=found.seed), "line.cycle", pattern)
    st.header(say("line.page.what_if"), anchor=False)
    pair = (pattern, rows[-1].method)
    changes = session.once(lambda: what_ifs(case, found.pooled.values(), pair=pair), "what_ifs", pair)
    if not changes:
        st.caption(say("line.cycle.no_changes"))
        return
    results.picture(lambda: activity.what_if(changes), "what_if", pair, table=lambda: tables.changes(changes))
    after = st.selectbox(
        say("line.page.what_if"),
        range(len(changes)),
        format_func=lambda i: say(f"line.change.{changes[i].code}"),
        help=layout.word("net_of_steps"),
        label_visibility="collapsed",
    )
    change = changes[after]
    results.picture(
        lambda: activity.before_after(change),
        "before_after",
        pair,
        after,
        table=lambda: chart_tables.before_after(change),
        least=True,
    )
