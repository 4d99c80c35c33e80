"""Report: the brief and downloads."""
