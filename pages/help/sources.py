"""Sources: every published table, how well it was read, what checks it; one cell at a time calculated again."""

import streamlit as st

from coreset.brief.recompute import cells, formulas, recompute, verdict
from coreset.pages.parts import layout, results
from coreset.report import published_tables
from coreset.sources import table, tables
from coreset.text import say

layout.head("front.sources")
layout.answer(published_tables.answer())
st.header(say("front.sources.again"), anchor=False)
path = st.selectbox(say("front.sources.which"), sorted(formulas()), help=say("front.sources.which_help"))
left, right = st.columns(2)
given = formulas()[path].given
places = range(len(table(path).rows))
row = left.selectbox(
    say("front.sources.row"),
    places,
    format_func=lambda i: f"{given} {table(path).rows[i][given]}",
    help=say("front.sources.row_help"),
)
column = right.selectbox(say("front.sources.column"), cells(path), help=say("front.sources.column_help"))
st.markdown(layout.plain(verdict(path, row, column)))
results.steps([recompute(path, row, column)])
st.header(say("front.sources.all"), anchor=False)
wanted = st.text_input(say("front.sources.search"), help=say("front.sources.search_help"))
results.rows(published_tables.listed(wanted))
st.header(say("front.sources.one"), anchor=False)
shown = st.selectbox(say("front.sources.look"), list(tables()), help=say("front.sources.look_help"))
st.caption(layout.plain(published_tables.citation(table(shown).key)))
results.rows(table(shown).rows)
