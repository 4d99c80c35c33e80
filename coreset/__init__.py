"""From stopwatch readings of core setting to a purchase decision."""

import os

__version__ = "0.2.0"

# The matrices here are small: a second thread of the linear algebra only waits beside the first, at a quarter of the
# processor time of an assessment, and what it adds up in another order would differ in the last digits by machine.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
