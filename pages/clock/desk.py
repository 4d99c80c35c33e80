"""The study that is worked on: chosen, begun, described, corrected, signed."""

from __future__ import annotations

import streamlit as st

from coreset.brief import say
from coreset.case import Case, Study

STUDY = "study"


def choose(case: Case) -> Study:
    """The study picked from those of the case; the address names it, so that a reload finds it again."""
    codes = [study.study for study in case.studies]
    wanted = st.query_params.get(STUDY, "")
    at = codes.index(wanted) if wanted in codes else 0
    code = st.selectbox(say("timing.study"), codes, index=at)
    st.query_params[STUDY] = code
    return next(study for study in case.studies if study.study == code)
