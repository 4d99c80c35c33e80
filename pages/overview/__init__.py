"""Overview: cases, where each stands, the decision."""
