"""The verdict: one headline, one recommendation, from all rooms."""
