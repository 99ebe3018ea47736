"""Every action of a screen for the command palette, told as the screen's help tells it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import partial
from typing import Any

from textual.app import App, SystemCommand
from textual.binding import Binding
from textual.dom import DOMNode
from textual.screen import Screen

_KEYS = {
    **{"←": "left", "→": "right", "↑": "up", "↓": "down", "+": "plus", "-": "minus"},
    **{"[": "left_square_bracket", "]": "right_square_bracket"},
    **{"{": "left_curly_bracket", "}": "right_curly_bracket"},
    **{"Shift+←": "shift+left", "Shift+→": "shift+right"},
    **{"Shift+↑": "shift+up", "Shift+↓": "shift+down"},
}
"""Keys by the sign that the help writes."""


def commands_of(app: App[Any], screen: Screen[Any]) -> Iterator[SystemCommand]:
    """Every key of the screen and of the app, by what it does; nothing of the toolkit's."""
    explained = dict(_explained(getattr(screen, "HELP", [])))
    seen: set[str] = set()
    for node in _nodes(app, screen):
        for binding in _own_bindings(node):
            told = _told(binding, explained.get(binding.key, ""))
            if told and binding.action not in seen:
                seen.add(binding.action)
                run = partial(app.run_action, binding.action, node)
                yield SystemCommand(told, app.get_key_display(binding), run)


def _nodes(app: App[Any], screen: Screen[Any]) -> Iterator[DOMNode]:
    """What has the keys, the nearest first."""
    if screen.focused is not None:
        yield screen.focused
    yield screen
    yield app


def _own_bindings(node: DOMNode) -> Iterator[Binding]:
    """Those our own classes name; of two for one key both, unlike what is active at a key."""
    for one in type(node).__mro__:
        if one.__module__.startswith("companion."):
            yield from Binding.make_bindings(vars(one).get("BINDINGS", []))


def _told(binding: Binding, explained: str) -> str:
    """`Tempo: one beat a minute faster, slower`."""
    if not binding.description or not explained:
        return binding.description or explained[:1].upper() + explained[1:]
    if explained.casefold().startswith(binding.description.casefold()):
        return explained[:1].upper() + explained[1:]
    return f"{binding.description}: {explained}"


def _explained(lines: Iterable[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """Each key of a help, as the toolkit names it, and what it does."""
    for keys, told in lines:
        names = _names(keys)
        pieces = told.split(", ")
        is_each = len(pieces) == len(names) and "(" not in told and " " in pieces[-1]
        yield from zip(names, pieces if is_each else [told] * len(names), strict=True)


def _names(keys: str) -> list[str]:
    names = [one for one in re.split(r" or |, | ", keys) if one]
    shift = "Shift+" if names and names[0].startswith("Shift+") else ""
    whole = [one if not shift or one.startswith(shift) else shift + one for one in names]
    return [_KEYS.get(one) or (one if len(one) == 1 else one.casefold()) for one in whole]
