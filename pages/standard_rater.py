"""The part of Standard where an observer rates known paces: bias and scatter."""

from itertools import cycle

import streamlit as st

from coreset.brief import say, say_rest, say_study
from coreset.pages import cycles_more, parts
from coreset.study.rater import paces, walk_s


def show() -> None:
    """Twelve paces to act out, the ratings given, and what they say of the observer."""
    st.markdown(say("study.rater.explain"))
    known, rated = [float(pace) for pace in paces()], []
    with st.form("rater"):
        for i, (pace, column) in enumerate(zip(known, cycle(st.columns(3)), strict=False), start=1):
            label = say("study.rater.pace", i=i, seconds=say_study.one_decimal(walk_s(pace)))
            rated.append(column.number_input(label, min_value=0.0, step=5.0, key=f"rated_{i}"))
        if st.form_submit_button(say("study.rater.button")):
            cycles_more.sentences(say_study.rater_sentences(known, rated))


def level() -> None:
    """Four grades instead of a pace, and the factor they make."""
    chosen = {}
    for factor, column in zip(say_rest.FACTORS, st.columns(4), strict=True):
        grades = say_rest.grades(factor)
        label = say_rest.factor_name(factor)
        chosen[factor] = column.selectbox(label, grades, index=grades.index("D"), key=f"level_{factor}")
    st.markdown(parts.plain(say_rest.levelled(chosen)))
