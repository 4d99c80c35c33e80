"""Rows of the lifting screen with the figures that a test is about, the rest as of a plain two-handed lift."""

from coreset.lifting.screened_task import RatedEnd, Screened

END = RatedEnd(rwl=10.0, li=1.0, hm=0.5, vm=1.0, dm=1.0, am=1.0, fm=1.0, cm=1.0)


def row(pattern, method, li, *, task="", **what):
    """One task with its index; `applies` and RWL 0 follow from `why_not` and `li` unless given."""
    usual = {
        "mass": 10.0,
        "frequency_per_min": 1.0,
        "frequency_from": "standard",
        "duration": "long",
        "applies": True,
        "why_not": (),
        "at_least": (),
        "rwl": 10.0 if li is not None else 0.0,
        "carrying": None,
        "binding": "hm",
        "end": "origin",
        "origin": END,
        "destination": END,
        "limits": (),
        "status": "reprinted",
    }
    return Screened(pattern=pattern, method=method, task=task or f"{pattern} {method}", li=li, **usual | what)
