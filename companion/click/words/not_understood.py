"""Which word of a line means nothing, so that a refusal can name it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from difflib import get_close_matches

from companion.errors import RequestError


def refusal(text: str, what: str, known: Iterable[str], how: str) -> RequestError:
    """“bi” is no word of a tempo plan; or, if every word is known, the whole text is none.

    `what` has its article; `how` says what can be written.
    """
    words = set(known)
    typed = re.findall(r"[^\s,]+", text)
    odd = [word for word in typed if word[0].isalpha() and word.casefold() not in words]
    if not odd or len(typed) == 1:
        return RequestError(f"“{text}” is not {what}", next=how)
    near = get_close_matches(odd[0].casefold(), words, n=1)
    meant = f"Did you mean “{near[0]}”? " if near else ""
    return RequestError(f"“{odd[0]}” is no word of {what}", next=f"{meant}{how}")
