"""Timing: the clock of a study, its readings, and what was corrected."""

from coreset.pages import parts, session
from coreset.pages.clock.desk import choose
from coreset.pages.clock.widget import clock

parts.head("timing")
study = choose(session.case())
clock(session.case_id(), study)
