"""Silences in words: what sounds cannot be taken for what is silent."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.wording.log_sentences import sounded_told
from companion.wording.phrases import silences_named
from tests.journal.player import attempt


@pytest.mark.parametrize(
    ("kept", "told"),
    [
        ("", ""),
        ("none", "none"),
        ("every 4 bars", "every 4 bars"),
        ("mine only", "in conflicts only mine sounds"),
        ("theirs only, every 4 bars", "every 4 bars, in conflicts only theirs sounds"),
    ],
)
def test_one_side_alone_is_told_by_what_sounds(kept: str, told: str) -> None:
    assert silences_named(kept) == told


@pytest.mark.parametrize(
    ("kept", "told"),
    [
        ("", "beat"),
        ("mine only", "beat, in conflicts only mine sounds"),
        ("every 4 bars, mine only", "beat, silent every 4 bars, in conflicts only mine sounds"),
        ("silent bars", "beat, silent bars"),  # as old logs have it
    ],
)
def test_a_line_of_the_log_says_what_sounded(kept: str, told: str) -> None:
    practised = replace(attempt(0), layers=("beat",), silences=kept, accompaniment=())
    assert sounded_told(practised) == told
