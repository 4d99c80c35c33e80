"""Steps and element times -> mold cycle."""
