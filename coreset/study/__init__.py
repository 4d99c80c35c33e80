"""Readings -> element times -> rating -> allowances -> standard time; comparison of methods."""
