"""The part of Handling on the crew's shift."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from coreset.case import Case
from coreset.lifting.exposure import compared, shift
from coreset.lifting.report import exposure as words
from coreset.pages.parts import layout, results
from coreset.web import session


def crew(case: Case, standards: Sequence[Any]) -> None:
    """Who gets better and who worse, and a mean shift of each method."""
    pairs = session.once(lambda: compared(case, standards), "crew")
    layout.answer(words.verdict_sentence(pairs, case.baseline, case.candidate))
    results.rows(lambda: words.compare_rows(pairs, case.units), "crew")
    ways = (case.baseline, case.candidate)
    shifts = session.once(lambda: [shift(case, standards, method=method) for method in ways], "shifts")
    st.markdown(layout.plain(words.minutes_sentence(*shifts)))
    results.rows(lambda: words.crew_rows(shifts, case.units), "shifts")
