"""Keys by name: their signature, and the notes of their scale from the tonic up."""

from __future__ import annotations

from dataclasses import dataclass

from companion.errors import RequestError

_FIFTHS = {"C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5, "F": -1}
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_LETTERS = "CDEFGAB"
_SHARPS = "FCGDAEB"


@dataclass(frozen=True, slots=True)
class Tonality:
    """A key."""

    tonic: str
    """`D`, `Bb`, `F#`."""
    is_minor: bool
    """Minor, whose seventh step is raised where it leads to the tonic."""

    @property
    def name(self) -> str:
        """As an exercise file writes it."""
        return f"{self.tonic} minor" if self.is_minor else self.tonic

    @property
    def fifths(self) -> int:
        """Sharps of the signature, or flats if negative."""
        sharps = _FIFTHS[self.tonic[0]] + 7 * (self.tonic.count("#") - self.tonic.count("b"))
        return sharps - 3 if self.is_minor else sharps


def tonality(text: str) -> Tonality:
    """A key by its name: `D`, `Bb major`, `F# minor`.

    Raises RequestError if it is none, or has more than seven sharps or flats.
    """
    words = text.split()
    tonic = words[0][:1].upper() + words[0][1:] if words else ""
    mode = words[1].casefold() if len(words) == 2 else "major"
    if tonic[:1] in _FIFTHS and tonic[1:] in ("", "#", "b") and mode in ("major", "minor"):
        found = Tonality(tonic, mode == "minor")
        if len(words) < 3 and abs(found.fifths) <= 7:
            return found
    raise RequestError(f"“{text}” is not a key", next="Write D, Bb major or F# minor.")


def fifths_of(key: str) -> int:
    """The signature of a key by its name; none for no name."""
    return tonality(key).fifths if key else 0


def scale(key: Tonality, low: int, high: int) -> list[str]:
    """The notes of a key from one sounding pitch to another (middle C is 60), rising."""
    found: list[tuple[int, str]] = []
    for octave in range(-1, 10):
        for letter in _LETTERS:
            alter = alter_in_key(letter, key.fifths)
            height = 12 * (octave + 1) + _STEPS[letter] + alter
            if low <= height <= high:
                found.append((height, f"{letter}{('', '#', 'b')[alter]}{octave}"))
    return [name for _, name in sorted(found)]


def alter_in_key(letter: str, fifths: int) -> int:
    """What a key signature does to a letter: 1 sharp, −1 flat, 0."""
    if fifths >= 0:
        return int(letter in _SHARPS[:fifths])
    return -int(letter in _SHARPS[fifths:])
