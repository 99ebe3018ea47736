"""Our signs in ASCII, for a terminal or a file that has no others: one sign for one, so that
what stands in columns stays in them."""

from __future__ import annotations

_ROWS = (
    ("–—−‑‘’′“”…·×÷‹›«»", "----'''\"\"..x/<>{}"),
    ("←→↑↓⏎▶▼▲■□●○◆◇•✓°", "<>^v>>v^#o*o@o*vo"),
    # The fuller the darker: how sure a passage is, how long a day was; the beat; the map.
    ("░▒▓█▪▄▀▌▐▎▏", ':+%##m"||||'),
    ("━═─┄┈≡≈‿", "==----~_"),
    # Where both sides meet !, a stroke of one alone on its side; barlines.
    ("┃╵╷│╎‖║", "!',|:||"),
    ("┐└┘├┤┬┴┼╭╮╰╯┏┓┗┛╔╗╚╝", "+" * 20),
    ("╤╕╦╘╧╛╩╞╪╡", "+" * 10),
    ("▫", "o"),  # what pulls on the page only
    ("┌╒", ",;"),  # an eighth, a sixteenth: as a staff in ASCII has them
    ("♯♭♮⊓∩ξ", "#bnnuz"),
)
_SIGNS = {a: b for signs, plain in _ROWS for a, b in zip(signs, plain, strict=True)}
_WIDE = "FW"


def in_ascii(text: str) -> str:
    """The text in ASCII, in as many columns; accents are dropped, what has no likeness is `?`."""
    return text if text.isascii() else "".join(map(_plain, text))


def _plain(sign: str) -> str:
    if sign.isascii():
        return sign
    if sign in _SIGNS:
        return _SIGNS[sign]
    from unicodedata import combining, east_asian_width, normalize

    if combining(sign):
        return ""
    bare = normalize("NFKD", sign).encode("ascii", "ignore").decode("ascii")
    columns = 2 if east_asian_width(sign) in _WIDE else 1
    return bare if len(bare) == columns else "?" * columns
