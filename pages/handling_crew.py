"""The part of Handling on the crew's shift."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from coreset.brief import say_handling_crew as words
from coreset.case import Case
from coreset.handling.crew import compared, shift
from coreset.pages import parts, results, session


def crew(case: Case, standards: Sequence[Any]) -> None:
    """Who gets better and who worse, and a mean shift of each method."""
    pairs = session.once(lambda: compared(case, standards), "crew")
    parts.answer(words.verdict_sentence(pairs, case.baseline, case.candidate))
    results.rows(lambda: words.compare_rows(pairs, case.units), "crew")
    ways = (case.baseline, case.candidate)
    shifts = session.once(lambda: [shift(case, standards, method=method) for method in ways], "shifts")
    st.markdown(parts.plain(words.minutes_sentence(*shifts)))
    results.rows(lambda: words.crew_rows(shifts, case.units), "shifts")
