"""What holds for every test."""

from __future__ import annotations

import pytest


def pytest_make_parametrize_id(config: pytest.Config, val: object, argname: str) -> str | None:
    """Name a case of bytes by its argument: what a file holds may hold the time it was made,
    and two workers must call a case by one name."""
    return argname if isinstance(val, bytes) else None
