"""All or nothing: a change to the log is wholly there afterwards, or not at all."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """Takes the pen at the start, so that two writers wait for each other instead of colliding.

    Committed and on disk when the block ends; undone when it is left by any
    other way, a failed commit included. The connection must be in autocommit
    mode (`isolation_level=None`).
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")


@contextmanager
def one_look(connection: sqlite3.Connection) -> Iterator[None]:
    """Several questions answered from one and the same moment; nobody is kept waiting."""
    connection.execute("BEGIN")
    try:
        yield
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
