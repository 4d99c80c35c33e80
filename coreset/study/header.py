"""What the header of a study must state so that the study can be defended, and what it lacks."""

from __future__ import annotations

from coreset.case import Study

STATED = (
    "date",
    "shift",
    "department",
    "tooling",
    "layout",
    "conditions",
    "experience",
    "watch",
    "approver",
    "clock_in",
    "clock_out",
    "allowances",
)
"""Fields that a study is asked for when it is disputed; common practice, no source."""


def lacking(study: Study) -> tuple[str, ...]:
    """Fields that are empty, in the order of the header; `elements` if one has no breakpoint, `consent` if not noted.

    The check of the instrument is asked for where a watch was used.
    """
    empty = [name for name in STATED if not getattr(study, name)]
    found = [name for name in empty if name != "watch" or study.taken_with == "watch"]
    found += [] if study.consent else ["consent"]
    return (*found, *(() if all(element.breakpoint for element in study.elements) else ("elements",)))
