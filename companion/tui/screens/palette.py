"""Every action of a screen for the command palette, told as the screen's help tells it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from typing import Any

from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
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
    for active in screen.active_bindings.values():
        binding = active.binding
        told = _told(binding, explained.get(binding.key, ""))
        if told and binding.action not in seen and binding.action in _own_actions(active.node):
            seen.add(binding.action)
            run = partial(app.run_action, binding.action, active.node)
            yield SystemCommand(told, app.get_key_display(binding), run)


def _own_actions(node: object) -> set[str]:
    found: set[str] = set()
    for kind in type(node).__mro__:
        if kind.__module__.startswith("companion."):
            bindings: Sequence[BindingType] = vars(kind).get("BINDINGS", [])
            found.update(one.action for one in bindings if isinstance(one, Binding))
    return found


def _told(binding: Binding, explained: str) -> str:
    """`Tempo: one beat a minute faster, slower`."""
    if not binding.description or not explained:
        return binding.description or explained[:1].upper() + explained[1:]
    return f"{binding.description}: {explained}"


def _explained(lines: Iterable[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """Each key of a help, as the toolkit names it, and what it does."""
    for keys, told in lines:
        names = _names(keys)
        pieces = told.split(", ")
        is_each = len(pieces) == len(names) and all(" " in piece for piece in pieces)
        yield from zip(names, pieces if is_each else [told] * len(names), strict=True)


def _names(keys: str) -> list[str]:
    names = [one for one in re.split(r" or |, | ", keys) if one]
    shift = "Shift+" if names and names[0].startswith("Shift+") else ""
    whole = [one if not shift or one.startswith(shift) else shift + one for one in names]
    return [_KEYS.get(one) or (one if len(one) == 1 else one.casefold()) for one in whole]
