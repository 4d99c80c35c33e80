"""Smaller sizes for tests of what is shown of a case, which do not hang on how precise it is."""

from functools import partial

import coreset.assess
from coreset.lifting import job
from coreset.line import pattern_line

FEW = {"resamples": 200, "draws": 1_000, "replications": 20}
RUNS, PACES = 10, 121


def make_small(patch):
    """Assess with few draws, look at a pattern's line in few runs, and draw indices at few paces.

    Parameters
    ----------
    patch : pytest.MonkeyPatch
        What undoes it.
    """
    patch.setattr(coreset.assess, "assess", partial(coreset.assess.assess, **FEW))
    patch.setattr(coreset.assess, "answered", partial(coreset.assess.answered, **FEW))
    patch.setattr(pattern_line, "gains", partial(pattern_line.gains, replications=RUNS))
    patch.setattr(pattern_line, "seconds_saved", partial(pattern_line.seconds_saved, replications=RUNS))
    patch.setattr(job, "PACES", PACES)
