"""Charts of lifting: indices, index against pace, side view."""
