"""Where in a TOML file each key and each value stands.

The standard reader tells the place of a broken line and forgets all others. A value that
is good TOML and no good exercise needs its place as well, so this walks through the text
once more and remembers where things are. It runs first: it takes everything the standard
reader would take, stops where that one stops, and bounds the depth of keys and values,
for which the standard reader would keep a player waiting.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import count

Path = tuple[str | int, ...]
"""From the top of the file: `("drill", 0, "tempo")`."""

DEEPEST = 12
"""Names in one key, or values in values, at most."""

_BLANK = re.compile(r"[ \t]*")
_LINES = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\n]*")
_STRINGS = (
    re.compile(r'"""(?:[^\\]|\\.)*?"""(?:"(?!"")|""(?!"))?', re.S),
    re.compile(r"'''.*?'''(?:'(?!'')|''(?!'))?", re.S),
    re.compile(r'"(?:[^"\\\n]|\\[^\n])*"'),
    re.compile(r"'[^'\n]*'"),
)


class TooDeeplyNested(Exception):
    """Keys or values nested beyond DEEPEST; the argument is where."""


class _Broken(Exception):
    """Not TOML from here on; the standard reader will say how."""


@dataclass(slots=True)
class Places:
    """Offsets in the text by path."""

    text: str
    """The whole file, line ends as `\\n`."""
    keys: dict[Path, int] = field(default_factory=dict)
    """Where the name of a key or a table begins."""
    values: dict[Path, tuple[int, int]] = field(default_factory=dict)
    """Where a value begins and ends."""
    _starts: list[int] = field(default_factory=list)
    """Where lines begin, once it was asked for."""

    def line_and_column(self, offset: int) -> tuple[int, int]:
        """Both from 1."""
        if not self._starts:
            self._starts = [0, *(match.end() for match in re.finditer("\n", self.text))]
        line = bisect_right(self._starts, offset)
        return line, offset - self._starts[line - 1] + 1

    def of_key(self, path: Path) -> tuple[int, int]:
        """Line and column of a key; of the nearest table around it where it has none."""
        while path and path not in self.keys:
            path = path[:-1]
        return self.line_and_column(self.keys.get(path, 0))

    def of_value(self, path: Path) -> tuple[int, int]:
        """Line and column of a value; of its key where it has no place of its own."""
        if path in self.values:
            return self.line_and_column(self.values[path][0])
        return self.of_key(path)

    def inside(self, path: Path, offset: int) -> tuple[int, int]:
        """Line and column of a letter inside a text; the text's own where it has escapes."""
        if path not in self.values:
            return self.of_key(path)
        begin, end = self.values[path]
        raw = self.text[begin:end]
        quotes = 3 if raw[:3] in ('"""', "'''") else 1
        if raw[:1] == '"' and "\\" in raw:
            return self.line_and_column(begin)
        skip = 1 if quotes == 3 and raw[3:4] == "\n" else 0
        return self.line_and_column(begin + quotes + skip + offset)


def places_of(text: str) -> Places:
    """Find everything. Raises TooDeeplyNested; stops quietly where the text is no TOML."""
    walk = _Walk(Places(text))
    try:
        walk.document()
    except _Broken:
        pass
    return walk.places


class _Walk:
    """Goes through the text from the top to the bottom."""

    def __init__(self, places: Places) -> None:
        self.places = places
        self.text = places.text
        self.at = 0
        self.lists: dict[Path, int] = {}
        """How many tables each list of tables has so far."""

    def document(self) -> None:
        """Every line."""
        table: Path = ()
        while True:
            self._skip(_LINES)
            if self.at >= len(self.text):
                return
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table, 0)

    def _skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _take(self, sign: str) -> bool:
        if self.text.startswith(sign, self.at):
            self.at += len(sign)
            return True
        return False

    def _need(self, sign: str) -> None:
        if not self._take(sign):
            raise _Broken

    def _header(self) -> Path:
        is_list = self._take("[[")
        if not is_list:
            self._need("[")
        self._skip(_BLANK)
        begin = self.at
        names = self._key()
        self._need("]]" if is_list else "]")
        path: Path = ()
        for name in names[:-1]:
            path = self._current((*path, name))
        path = (*path, names[-1])
        if is_list:
            self.places.keys.setdefault(path, begin)
            number = self.lists.get(path, 0)
            self.lists[path] = number + 1
            path = (*path, number)
        self.places.keys.setdefault(path, begin)
        return path

    def _current(self, path: Path) -> Path:
        """The last table of a list; else the path itself."""
        return (*path, self.lists[path] - 1) if path in self.lists else path

    def _key(self) -> list[str]:
        names: list[str] = []
        while True:
            self._skip(_BLANK)
            names.append(self._name())
            self._skip(_BLANK)
            if len(names) > DEEPEST:
                raise TooDeeplyNested(self.at)
            if not self._take("."):
                return names

    def _name(self) -> str:
        if self.text[self.at : self.at + 1] in ('"', "'"):
            begin = self.at
            self._string(_STRINGS[2:])
            return self._read(self.text[begin : self.at])
        match = _BARE.match(self.text, self.at)
        if match is None:
            raise _Broken
        self.at = match.end()
        return match[0]

    def _read(self, quoted: str) -> str:
        try:
            return str(tomllib.loads(f"name = {quoted}")["name"])
        except (ValueError, KeyError):
            raise _Broken from None

    def _string(self, patterns: tuple[re.Pattern[str], ...]) -> None:
        for pattern in patterns:
            match = pattern.match(self.text, self.at)
            if match is not None:
                self.at = match.end()
                return
        raise _Broken

    def _pair(self, table: Path, depth: int) -> None:
        begin = self.at
        names = self._key()
        for length in range(1, len(names) + 1):
            self.places.keys.setdefault((*table, *names[:length]), begin)
        self._need("=")
        self._skip(_BLANK)
        self._value((*table, *names), depth)

    def _value(self, path: Path, depth: int) -> None:
        if depth > DEEPEST:
            raise TooDeeplyNested(self.at)
        begin, sign = self.at, self.text[self.at : self.at + 1]
        if sign in ('"', "'"):
            self._string(_STRINGS)
        elif sign == "[":
            self._list(path, depth)
        elif sign == "{":
            self._table(path, depth)
        else:
            self._skip(_SCALAR)
        end = self.at
        while end > begin and self.text[end - 1] in " \t":
            end -= 1
        if end == begin:
            raise _Broken
        self.places.values.setdefault(path, (begin, end))

    def _list(self, path: Path, depth: int) -> None:
        self._need("[")
        for number in count():
            self._skip(_LINES)
            if self._take("]"):
                return
            self._value((*path, number), depth + 1)
            if self._is_last("]"):
                return

    def _table(self, path: Path, depth: int) -> None:
        self._need("{")
        self._skip(_LINES)
        while not self._take("}"):
            self._pair(path, depth + 1)
            if self._is_last("}"):
                return
            self._skip(_LINES)

    def _is_last(self, closing: str) -> bool:
        """Whether a list or a table ends here; else past the comma."""
        self._skip(_LINES)
        if self._take(","):
            return False
        self._need(closing)
        return True
