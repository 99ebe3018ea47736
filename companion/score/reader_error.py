"""Why a file cannot be read, in one sentence."""

from __future__ import annotations

from companion.errors import CompanionError

AGAIN = "Export it again from the program that wrote it."


class ReaderError(CompanionError):
    """A file cannot be read as a score."""

    exit_status = 1

    def inside(self, place: str) -> ReaderError:
        """The same refusal, said of a place within `place`, such as a file."""
        where = ", ".join(part for part in (place, self.where) if part)
        return type(self)(self.what, where=where, next=self.next)


class ReadingStopped(ReaderError):
    """The player did not want to wait any longer."""
