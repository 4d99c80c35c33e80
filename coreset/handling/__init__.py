"""Lifts and pace -> lifting index and its kin."""
