"""Lifting: indices, pace, redesign, exposure."""
