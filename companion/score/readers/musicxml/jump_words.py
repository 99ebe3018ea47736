"""Words on the page that direct where the music goes.

Common practice, no source. “al Fine” belongs to the jump that says it and marks no end.
"""

from __future__ import annotations

import re

JUMP_WORDS = (
    (re.compile(r"(?i:\bd\. ?c\.|\bda capo\b)|^\W*DC\b"), "dacapo"),
    (re.compile(r"(?i:\bd\. ?s\.|\bdal segno\b)|^\W*DS\b|\b(?i:dal|d\.?) ?[𝄋%]"), "dalsegno"),
    (re.compile(r"^\W*fine\W*$", re.I), "fine"),
    (re.compile(r"^\W*to (the )?coda\b", re.I), "tocoda"),
)
"""(pattern, kind of mark)."""
