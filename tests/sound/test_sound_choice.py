"""What a player chose for the sound: kept, heeded, and never in the way of practising."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from companion.errors import CompanionError, RequestError
from companion.sound.device_check import LEAD, STROKES, soft_click, stroke_at
from companion.sound.device_choice import (
    SoundChoice,
    checked_delay,
    keep_sound_choice,
    player_for,
    sound_choice,
)
from tests.click.hearing import begins, true_peak
from tests.session.small_scores import folders_in

RATE = 48000


def test_before_anything_was_chosen_the_system_decides(tmp_path: Path) -> None:
    assert sound_choice(folders_in(tmp_path)) == SoundChoice(None, 0, None, False)


def test_what_was_chosen_is_there_the_next_time(tmp_path: Path) -> None:
    chosen = SoundChoice("Kitchen", 180, "Drum module", midi_clock=True)
    keep_sound_choice(folders_in(tmp_path / "new"), chosen)
    assert sound_choice(folders_in(tmp_path / "new")) == chosen


@pytest.mark.parametrize(
    "damaged",
    ["", "{", "[]", "7", '{"delay": "soon"}', '{"delay": 99999}', '{"delay": null}', "\x00"],
)
def test_a_damaged_file_counts_as_none(tmp_path: Path, damaged: str) -> None:
    (tmp_path / "sound.json").write_text(damaged)
    assert sound_choice(folders_in(tmp_path)) == SoundChoice()


def test_what_is_no_name_counts_as_none(tmp_path: Path) -> None:
    (tmp_path / "sound.json").write_text(json.dumps({"device": 3, "midi": "", "delay": 20}))
    assert sound_choice(folders_in(tmp_path)) == SoundChoice(delay=20)


def test_a_folder_that_cannot_be_written_to_is_told(tmp_path: Path) -> None:
    (tmp_path / "desk").write_text("a file where the folder should be")
    with pytest.raises(CompanionError, match="could not be kept|could not be written"):
        keep_sound_choice(folders_in(tmp_path / "desk"), SoundChoice(delay=10))


@pytest.mark.parametrize("delay", [-201, 1001, 10**9])
def test_a_delay_nobody_has_is_refused(delay: int) -> None:
    with pytest.raises(RequestError, match="Choose -200 to 1000"):
        checked_delay(delay)


def test_a_device_that_is_gone_is_told_and_practice_goes_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("COMPANION_SOUND", raising=False)
    player, notice = player_for(SoundChoice("A device nobody has"))
    player.close()
    assert notice.startswith("There is no sound device 'A device nobody has'.") or (
        "Playing in silence." in notice
    )


def test_the_environment_overrules_what_was_chosen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_SOUND", "silent")
    player, notice = player_for(SoundChoice("A device nobody has"))
    assert player.name == "silent"
    assert notice == "Playing in silence, as COMPANION_SOUND says."


def test_the_test_click_is_soft_and_comes_each_second_after_a_rest() -> None:
    click = soft_click(RATE)
    once = click.read(0, (LEAD + STROKES) * RATE)
    assert begins(once) == [(LEAD + number) * RATE for number in range(STROKES)]
    assert true_peak(once) < -20
    around = click.read((LEAD + STROKES) * RATE, STROKES * RATE)
    assert begins(around) == [number * RATE for number in range(STROKES)]


def test_the_number_shown_is_that_of_the_stroke_heard() -> None:
    assert stroke_at(LEAD * RATE - 1, RATE) is None
    assert stroke_at(LEAD * RATE, RATE) == (1, 0.0)
    assert stroke_at(round((LEAD + 5.25) * RATE), RATE) == (2, 0.25)
