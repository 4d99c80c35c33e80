"""A case on disk (`folder`) and in the database (`book`)."""
