"""The parts of Handling on energy and heat, and on the methods that fit."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from coreset.bodywork.applicable_method import fittings
from coreset.bodywork.composite_strain import hand_jobs
from coreset.bodywork.report import hand_jobs as say_jobs
from coreset.bodywork.report import workload as say_loads
from coreset.bodywork.report.working import working_of_fitting, working_of_workload
from coreset.bodywork.workload import workloads
from coreset.case import Case
from coreset.lifting.en_iso import referred_indices
from coreset.lifting.report import exposure as words
from coreset.lifting.report.sentences import label_of
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session


def body(case: Case, standards: Sequence[Any]) -> None:
    """Energy against its limits, and heat at the place."""
    loads = session.once(lambda: workloads(case, standards), "workloads")
    results.sentences(
        lambda: [say_loads.energy_sentence(loads), say_loads.heat_sentence(loads, case.units)], "workloads"
    )
    results.rows(lambda: say_loads.workload_rows(loads), "workloads")
    named = session.once(lambda: say_loads.workload_names(loads), "settings")
    results.working_one(named, lambda place: working_of_workload(loads[place]), key="handling_body_of")


def methods(case: Case, screened: Sequence[Any], standards: Sequence[Any]) -> None:
    """Which method fits each task, what the others say, hand work together, other reference masses for the worst."""
    found = session.once(lambda: fittings(case, screened), "fittings")
    layout.answer(words.fitting_sentence(found))
    results.rows(lambda: words.fitting_rows(found, screened, case.units), "fittings")
    named = session.once(lambda: {label_of(one): place for place, one in enumerate(found)}, "fitted")
    results.working_one(named, lambda place: working_of_fitting(found[place]), key="handling_methods_of")
    jobs = session.once(lambda: hand_jobs(case, found, screened, standards), "hand_jobs")
    if several := say_jobs.several(jobs):
        st.header(say("handling.hand_jobs.title"), anchor=False)
        results.rows(lambda: say_jobs.hand_job_rows(several), "hand_jobs")
        st.caption(say("handling.hand_jobs.note"))
        results.working_one(say_jobs.named(several), lambda place: say_jobs.working(several[place]), key="hand_jobs_of")
    if worst := max((row for row in screened if row.li is not None), key=lambda row: row.li, default=None):
        st.header(say("handling.reference.row", task=layout.plain(label_of(worst))), anchor=False)
        st.caption(say("handling.reference.groups"))
        results.rows(words.referred_rows(referred_indices(worst.li)))
