"""Where keys and values stand, held against the standard reader of TOML.

Source: the standard library's tomllib (TOML 1.0.0) as the judge of what is in the file.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator

from hypothesis import given, settings
from hypothesis import strategies as st

from companion.exercise.file.toml_places import Path, Places, TooDeeplyNested, places_of

FILE = '''\
# a comment = "not a key"
format = 1
"title" = "A # no comment"   # but this is
instructions = """
line = "no key"
[drill]
"""
goal.tempo = 60
list = [ 1, [2, 3], # three
  { a = 'x]', b = 2 } ]

[[drill]]
pattern = \'\'\'
2/4 q q
\'\'\'
goal = { times = 2, "days" = 3 }

[[drill]]
[drill.goal]
tempo = 72.5
'''


def paths_in(value: object, path: Path = ()) -> Iterator[tuple[Path, object]]:
    """Every path to something that is no table."""
    if isinstance(value, dict):
        for key, inside in value.items():
            yield from paths_in(inside, (*path, key))
    elif isinstance(value, list) and value and all(isinstance(one, dict) for one in value):
        for number, inside in enumerate(value):
            yield from paths_in(inside, (*path, number))
    else:
        yield path, value


def found(text: str) -> Places:
    places = places_of(text)
    for path, value in paths_in(tomllib.loads(text)):
        begin, end = places.values[path]
        assert tomllib.loads(f"x = {text[begin:end]}")["x"] == value, path
        assert path in places.keys or isinstance(path[-1], int)
    return places


def test_every_value_of_a_file_is_found_where_it_stands() -> None:
    places = found(FILE)
    assert places.of_key(("title",)) == (3, 1)
    assert places.of_value(("title",)) == (3, 11)
    assert places.of_value(("goal", "tempo")) == (8, 14)
    assert places.of_value(("list", 2, "b")) == (10, 19)
    assert places.of_key(("drill", 0)) == (12, 3)
    assert places.of_value(("drill", 0, "goal", "days")) == (16, 30)
    assert places.of_value(("drill", 1, "goal", "tempo")) == (20, 9)


def test_a_letter_inside_a_text_is_found() -> None:
    assert places_of(FILE).inside(("drill", 0, "pattern"), 4) == (14, 5)
    short = places_of('a = "2/4 q q"')
    assert short.inside(("a",), 4) == (1, 10)
    escaped = places_of('a = "\\u0032/4 q"')
    assert escaped.inside(("a",), 4) == (1, 5)


def test_what_is_missing_is_told_at_the_table_around_it() -> None:
    assert places_of(FILE).of_key(("drill", 1, "pattern")) == (18, 3)


NAMES = st.text(alphabet="ab_-1é\"' .", min_size=1, max_size=4)
SCALARS = (
    st.integers(-(10**6), 10**6)
    | st.booleans()
    | st.text(alphabet="ab#=[]{},'\"\\\n\té", max_size=8)
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3),
    max_leaves=6,
)


def as_toml(value: object) -> str:
    """Any value on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, list):
        return f"[ {', '.join(map(as_toml, value))} ]"
    if isinstance(value, dict):
        pairs = ", ".join(f"{quoted(name)} = {as_toml(one)}" for name, one in value.items())
        return f"{{ {pairs} }}"
    return str(value)


def quoted(text: str) -> str:
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + plain.replace("\n", "\\n").replace("\t", "\\t") + '"'


@given(st.dictionaries(NAMES, VALUES, max_size=4))
@settings(deadline=None)
def test_whatever_is_written_is_found_again(plain: dict[str, object]) -> None:
    text = "\n".join(f"{quoted(name)} = {as_toml(value)}" for name, value in plain.items())
    assert tomllib.loads(text) == plain
    found(text)


@given(st.text(alphabet="a=\"'[]{},.#\n\\1 -:", max_size=80))
@settings(deadline=None)
def test_nothing_good_is_taken_for_broken(text: str) -> None:
    """Wherever the standard reader finds a value, this one finds it too."""
    try:
        tomllib.loads(text)
    except ValueError:
        try:
            places_of(text)
        except TooDeeplyNested:
            pass
    else:
        found(text)
