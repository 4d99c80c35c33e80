"""Stores for tests: a SQLite file, or a schema of its own in the PostgreSQL that CORESET_POSTGRES names."""

import os
import uuid
from contextlib import contextmanager

import pytest
from lacking import need
from sqlalchemy import create_engine, text

VARIABLE = "CORESET_POSTGRES"
KINDS = ("sqlite", "postgres")


def kinds():
    """Both stores, as parameters; the second bears the mark that chooses it."""
    return [KINDS[0], pytest.param(KINDS[1], marks=pytest.mark.postgres)]


def server():
    """URL of the PostgreSQL for tests; skipped aloud without one, failed where one must be."""
    url = os.environ.get(VARIABLE, "")
    need(url, f"NO POSTGRESQL: name one by {VARIABLE}")
    return url


@contextmanager
def store(kind, folder):
    """URL of a book that is not there yet; taken away at the end."""
    if kind == "sqlite":
        yield f"sqlite:///{folder / 'deep' / 'book.sqlite'}"
        return
    engine, schema = create_engine(server()), f"t{uuid.uuid4().hex}"
    with engine.begin() as connection:
        connection.execute(text(f"create schema {schema}"))
    try:
        yield f"{server()}?options=-csearch_path%3D{schema}"
    finally:
        with engine.begin() as connection:
            connection.execute(text(f"drop schema {schema} cascade"))
        engine.dispose()
