"""The working store of cases: one SQL database, readings append-only."""
