"""A folder that is gone afterwards, and what is said where none can be had."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from companion.errors import CompanionError


class NoRoom(CompanionError):
    """Nothing can be written down on the way."""

    def __init__(self, what: str, fault: OSError) -> None:
        super().__init__(
            f"{what} ({fault.strerror or fault})",
            next="Make room on the disk, or name a folder that takes files in TMPDIR.",
        )


@contextmanager
def spare_folder(what: str) -> Iterator[Path]:
    """Its path. Raises NoRoom if it cannot be had or takes nothing; `what` says what comes of
    that, such as `the exercise could not be checked`."""
    from tempfile import TemporaryDirectory  # slow to import

    try:
        with TemporaryDirectory(prefix="companion-") as spare:
            yield Path(spare)
    except OSError as fault:
        raise NoRoom(what, fault) from None
