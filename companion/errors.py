"""The one error family a person can meet: what happened, where, and what to do next.

Every face of the program (a command, a screen) can show any of these without
knowing which package raised it, so no package needs to format messages of its own
and no traceback has to reach a player.
"""

from __future__ import annotations

import re

_QUOTED = re.compile("“([^”]{80,})”")
_WORD = re.compile(r"[^\s/\\]{300,}")
"""Longer than any name of a file."""
_KEPT = 60
"""Characters that are enough to know it by."""


def in_brief(text: str) -> str:
    """A sentence in which no quotation and no word goes on for pages; paths stay whole."""
    text = _QUOTED.sub(lambda found: f"“{found[1][:_KEPT]}…”", text)
    return _WORD.sub(lambda found: f"{found[0][:_KEPT]}…", text)


class CompanionError(Exception):
    """Something a person can understand and act on.

    Packages raise a subclass of their own; the faces print `sentence()` and end
    with exit status `exit_status`.
    """

    exit_status = 1
    """1: the input cannot serve. Subclasses for a wrong command line use 2."""

    def __init__(self, what: str, *, where: str = "", next: str = "") -> None:
        super().__init__(what)
        self.what = in_brief(what)
        self.where = in_brief(where)
        self.next = in_brief(next)

    def sentence(self) -> str:
        """One line: where it happened, what happened, what to do next."""
        place = f"{self.where}: " if self.where else ""
        advice = f" {self.next}" if self.next else ""
        return f"{place}{self.what.rstrip('.')}.{advice}"

    def __str__(self) -> str:
        return self.sentence()


class RequestError(CompanionError):
    """The request itself is wrong: a part, bar or option that cannot be meant."""

    exit_status = 2
