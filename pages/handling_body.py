"""The parts of Handling on energy and heat, and on the methods that fit."""

from collections.abc import Sequence
from functools import partial
from typing import Any

import streamlit as st

from coreset.brief import say
from coreset.brief import say_handling_crew as words
from coreset.brief.say_handling import label_of, worst_first
from coreset.brief.working_body import working_of_fitting, working_of_workload
from coreset.case import Case
from coreset.handling.en_iso import referred_indices
from coreset.handling.fits import fittings
from coreset.handling.workload import workloads
from coreset.pages import parts, session


def body(case: Case, standards: Sequence[Any]) -> None:
    """Energy against its limits, and heat at the place."""
    loads = session.once(lambda: workloads(case, standards), "workloads")
    st.markdown(parts.plain(words.energy_sentence(loads)))
    st.markdown(parts.plain(words.heat_sentence(loads)))
    parts.rows(words.workload_rows(loads))
    named = {say("handling.body.setting", pattern=load.pattern, method=load.method): load for load in loads}
    ways = {name: partial(working_of_workload, load) for name, load in named.items()}
    parts.working_one(ways, key="handling_body_of")


def methods(case: Case, screened: Sequence[Any]) -> None:
    """Which method fits each task, what the others say, other reference masses for the worst."""
    found = session.once(lambda: fittings(case, screened), "fittings")
    parts.answer(words.fitting_sentence(found))
    parts.rows(words.fitting_rows(found, screened))
    parts.working_one({label_of(one): partial(working_of_fitting, one) for one in found}, key="handling_methods_of")
    rated = [row for row in worst_first(screened) if row.li is not None]
    if rated:
        st.header(say("handling.reference.row", task=parts.plain(label_of(rated[0]))), anchor=False)
        parts.rows(words.referred_rows(referred_indices(rated[0].li)))
