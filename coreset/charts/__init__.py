"""Assessment parts -> altair charts."""
