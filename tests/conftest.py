"""What holds for every test."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

import companion

# No test asserts a clock: a busy machine is no fault of the code.
settings.register_profile("any pace", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any pace")


def pytest_make_parametrize_id(config: pytest.Config, val: object, argname: str) -> str | None:
    """Name a case of bytes by its argument: what a file holds may hold the time it was made,
    and two workers must call a case by one name."""
    return argname if isinstance(val, bytes) else None


@pytest.fixture(scope="session")
def child_environment() -> dict[str, str]:
    """The environment for a second process that is to import the same companion."""
    root = str(Path(companion.__file__).parents[1])
    return {**os.environ, "PYTHONPATH": root, "PYTHONUTF8": "1"}


@pytest.fixture
def seldom_collected() -> Iterator[None]:
    """Garbage is collected as seldom as the command line has it (`companion/__main__.py`)."""
    before = gc.get_threshold()
    gc.set_threshold(200_000)
    yield
    gc.set_threshold(*before)
