"""The web front: layout only."""
