"""The shapes of words in an exercise file, for the reader and for JSON Schema alike.

Each is a regular expression that means the same in Python and in ECMA 262 (only ASCII
digits, no `$`, no named groups), because the schema carries it word for word.
"""

from __future__ import annotations

from companion.click.layer_words import BOTH
from companion.click.layers import Layer
from companion.click.tempo_plan import AfterFailing
from companion.exercise.file.kinds import END

CLAIMS = (
    "hemiola",
    "beat = beat",
    "note = note",
    "interlock",
    "after-beats",
    "entries from rests",
    "additive meter",
    "mixed meter",
    "travelling barlines",
    "silences",
)
"""What a drill can say that it shows, beside a ratio."""

_DEVICES = (
    r"(?:[cC][oO][nN]|[pP][rR][nN]|[aA][uU][xX]|[nN][uU][lL]|(?:[cC][oO][mM]|[lL][pP][tT])[0-9])"
)
PLAIN_PATH = (
    rf"^(?![\s\S]*(?:^|/)(?:{_DEVICES}(?:\.[^/]*)?|[^/]*[. ])(?:/|{END}))"
    rf"[^/\\:*?\x22<>|\x00-\x1f\x7f]+(?:/[^/\\:*?\x22<>|\x00-\x1f\x7f]+)*{END}"
)
"""A relative path that means the same on every system and never leads out of its folder: no
`..`, no drive, no name ending in a dot or a space, no name of a device (Microsoft, "Naming
Files, Paths, and Namespaces")."""

KEY_NAME = rf"^(?:(?:[A-G]|[FC]#|[BEADGC]b)(?: major)?|(?:[A-G]|[FCGDA]#|[BEA]b) minor){END}"
RATIO = r"(?:[2-9]|1[0-6]):(?:[2-9]|1[0-6]) in the (?:beat|bar)"
SHOWS_TOLD = f'a ratio such as "3:2 in the beat", or {", ".join(CLAIMS)}'
SILENCES = ("every 4", "growing", "random 20%", "mine only", "theirs only")

# Spelled out because \s is not the same in Python and in JSON Schema (U+0085, U+FEFF).
_SPACES = r"\x00-\x20\x7f-\xa0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000\ufeff"
_ONE_LAYER = rf"{'|'.join(Layer)}|rhythm:[^,{_SPACES}][^,\x00-\x1f]{{0,79}}"
LAYER = f"{_ONE_LAYER}|{BOTH}"
_UNIT = r"(?: (?:bars?|beats?|times?))?"
SILENCE = (
    rf"every (?:[2-9]|[1-9][0-9])(?:st|nd|rd|th)?{_UNIT}|growing(?: to [1-9][0-9]?)?{_UNIT}"
    rf"|random (?:0\.[0-9]?[1-9]|[1-9][0-9]?%){_UNIT}|(?:mine|theirs) only"
)
FADE = rf"(?:{_ONE_LAYER}) (?:in|out) over [1-9][0-9]?(?: times)?"

_N = r"(?:[1-9][0-9](?:\.[0-9]{1,3})?|[1-3][0-9][0-9](?:\.[0-9]{1,3})?|400)"
_EACH = r"(?:, (?:once|twice|(?:[2-9]|[1-9][0-9]) times) each)?"
_ELSE = rf"(?:, else (?:{'|'.join(AfterFailing)}))?"
TEMPO_PLAN = (
    rf"^(?:{_N}|{_N} to {_N} by [1-9][0-9]?(?:\.[0-9]{{1,2}})?{_EACH}{_ELSE}"
    rf"|{_N} to {_N}(?: over [1-9][0-9]{{0,2}} times)?|{_N} and {_N}{_EACH}"
    rf"|as marked|(?:[1-9][0-9]|[1-3][0-9][0-9]|400)%(?: of marked)?){END}"
)
"""The words of a tempo plan (`companion.click.tempo_words`), in one spelling."""
