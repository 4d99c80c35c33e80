"""Cash flow, tax, run length, job mix, uncertainty, value of information, post-audit."""
