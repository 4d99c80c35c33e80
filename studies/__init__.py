"""Demo cases, all invented, one folder each."""
