"""Work that needs no Python, done beside work that does.

Unpacking and taking XML apart happen in libraries that leave the interpreter free, and on
a computer with two cores cost nothing where something else can be done in the meantime.
"""

from __future__ import annotations

from collections.abc import Callable
from threading import Thread
from typing import Generic, TypeVar

Made = TypeVar("Made")


class Meanwhile(Generic[Made]):
    """Something being made in a thread, begun at once."""

    def __init__(self, make: Callable[[], Made]) -> None:
        self._make = make
        self._made: list[Made] = []
        self._fault: BaseException | None = None
        self._thread = Thread(target=self._run, name="meanwhile", daemon=True)
        self._thread.start()

    def made(self) -> Made:
        """What was made, once it is; raises whatever the making raised."""
        self._thread.join()
        if self._fault is not None:
            raise self._fault
        return self._made[0]

    def _run(self) -> None:
        try:
            self._made.append(self._make())
        except BaseException as fault:  # noqa: BLE001  it is raised where it is waited for
            self._fault = fault
