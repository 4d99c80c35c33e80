"""Business case: line, payback, post-audit."""
