"""The part of Payback beside the decision: other ways, what moves the answer, what to study first, other volumes."""

from typing import Any

import streamlit as st

from coreset.brief import say, say_money, tables_money, working_ways
from coreset.charts import money as charts
from coreset.pages import results


def show(decision: Any) -> None:
    """Each with its picture or table and its working."""
    st.header(say("money.section.ways"), anchor=False)
    results.picture(lambda: charts.ways(decision), "ways", table=lambda: tables_money.ways(decision))
    results.working(lambda: working_ways.ways(decision), "money.ways")
    st.header(say("money.section.moves"), anchor=False)
    results.picture(lambda: charts.tornado(decision), "tornado", table=lambda: tables_money.inputs(decision))
    of_inputs = say("money.working.beside.inputs")
    results.working(lambda: working_ways.inputs(decision), "money.inputs", label=of_inputs)
    st.header(say("money.section.study"), anchor=False)
    results.sentences(lambda: [say_money.floor(decision)], "money.floor", show=st.caption)
    results.rows(lambda: tables_money.studies(decision), "money.studies")
    st.header(say("money.section.scenarios"), anchor=False)
    results.rows(lambda: tables_money.scenarios(decision), "money.scenarios")
    results.working(lambda: working_ways.volumes(decision), "money.volumes")
