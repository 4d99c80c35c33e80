"""The part of Payback beside the decision: other ways, what moves the answer, what to study first, other volumes."""

from typing import Any

import streamlit as st

from coreset.money import charts
from coreset.money.report import alternative_working, sentences, tables
from coreset.pages.parts import results
from coreset.text import say


def show(decision: Any) -> None:
    """Each with its picture or table and its working."""
    st.header(say("money.section.ways"), anchor=False)
    results.picture(lambda: charts.ways(decision), "ways", table=lambda: tables.ways(decision))
    results.working(lambda: alternative_working.ways(decision), "money.ways")
    st.header(say("money.section.moves"), anchor=False)
    results.picture(lambda: charts.tornado(decision), "tornado", table=lambda: tables.inputs(decision))
    of_inputs = say("money.working.beside.inputs")
    results.working(lambda: alternative_working.inputs(decision), "money.inputs", label=of_inputs)
    st.header(say("money.section.study"), anchor=False)
    results.sentences(lambda: [sentences.floor(decision)], "money.floor", show=st.caption)
    results.rows(lambda: tables.studies(decision), "money.studies")
    st.header(say("money.section.scenarios"), anchor=False)
    results.rows(lambda: tables.scenarios(decision), "money.scenarios")
    results.working(lambda: alternative_working.volumes(decision), "money.volumes")
