"""Setup: every input of a case."""
