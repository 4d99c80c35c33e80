"""The invented foundry assessed once for all tests of a process that only read what it says."""

from functools import cache

from sizes import FEW

from coreset.assess import assess
from coreset.store.folder import read
from coreset.web.shelf import demo_folder


@cache
def demo():
    """The invented foundry."""
    return read(demo_folder())


@cache
def assessed():
    """Its assessment in few draws: what is shown of it does not hang on how precise it is."""
    return assess(demo(), **FEW)
