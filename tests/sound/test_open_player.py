"""Who plays on this computer: asked for by name, by environment, or found out."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from companion.errors import RequestError
from companion.sound import sound_libraries
from companion.sound.player import Player, open_player
from companion.sound.sound_error import SoundError
from companion.sound.sound_source import Rendered
from tests.sound.conftest import NO_CARD, RECORDING, at_home, missing
from tests.sound.music import noise

KITCHEN = """
pcm.kitchen {{
  type file, slave.pcm "null", file "{take}", format "raw"
  hint {{ show on, description "Kitchen" }}
}}
"""
ASK = """
import json, sys
from companion.errors import CompanionError
from companion.sound.player import devices, open_player
try:
    player = open_player({arguments})
except CompanionError as refused:
    print(json.dumps({{"refused": refused.sentence(), "devices": devices()}}))
else:
    print(json.dumps({{"name": player.name, "notice": player.notice, "devices": devices()}}))
    player.close()
"""


def ask(home: Path, arguments: str = "") -> tuple[dict[str, object], str]:
    """What opening a player gives in that home, and what was written to the screen."""
    told = at_home(home, "-c", ASK.format(arguments=arguments))
    answer: dict[str, object] = json.loads(told.stdout)
    return answer, told.stderr


def test_without_a_card_playing_is_silent_and_says_why(no_card: Path) -> None:
    answer, _ = ask(no_card)
    assert answer["name"] == "silent"
    assert str(answer["notice"]).startswith("Playing in silence. No sound device answers")


def test_without_a_card_nothing_is_written_across_the_screen(no_card: Path) -> None:
    # alsa-lib writes some thirty lines by itself, seen on any machine without a card.
    _, written = ask(no_card)
    assert written == ""


def test_without_a_card_there_are_no_devices(no_card: Path) -> None:
    assert ask(no_card)[0]["devices"] == []


def test_miniaudio_asked_for_by_name_must_have_a_card(no_card: Path) -> None:
    answer, written = ask(no_card, "'miniaudio'")
    assert str(answer["refused"]).startswith("No sound device answers")
    assert written == ""


def test_simpleaudio_asked_for_by_name_must_have_a_card(no_card: Path) -> None:
    if reason := missing("simpleaudio"):
        pytest.skip(reason)
    answer, written = ask(no_card, "'simpleaudio'")
    assert str(answer["refused"]).startswith("simpleaudio cannot play here")
    assert written == ""


def test_with_a_card_miniaudio_plays_without_a_notice(no_card: Path) -> None:
    (no_card / ".asoundrc").write_text(RECORDING.format(take=no_card / "take.raw"))
    assert ask(no_card)[0] == {"name": "miniaudio", "notice": "", "devices": []}


def test_a_device_can_be_asked_for_by_its_name(no_card: Path) -> None:
    (no_card / ".asoundrc").write_text(NO_CARD + KITCHEN.format(take=no_card / "kitchen.raw"))
    answer, written = ask(no_card, "'miniaudio', device='Kitchen'")
    assert answer == {"name": "miniaudio", "notice": "", "devices": ["Kitchen"]}
    assert written == ""
    assert (no_card / "kitchen.raw").exists()


def test_a_device_that_is_not_there_is_named(no_card: Path) -> None:
    answer, _ = ask(no_card, "'miniaudio', device='Kitchen'")
    assert answer["refused"] == "There is no sound device 'Kitchen'. Found: none."


CHOSEN = """
import json
from companion.sound.device_choice import SoundChoice, player_for
player, notice = player_for(SoundChoice("Kitchen", 120))
print(json.dumps([player.name, notice]))
player.close()
"""


def test_the_device_a_player_chose_plays(no_card: Path) -> None:
    (no_card / ".asoundrc").write_text(NO_CARD + KITCHEN.format(take=no_card / "kitchen.raw"))
    assert json.loads(at_home(no_card, "-c", CHOSEN).stdout) == ["miniaudio", ""]
    assert (no_card / "kitchen.raw").exists()


def test_where_the_chosen_device_is_gone_the_systems_own_plays_and_it_is_told(
    no_card: Path,
) -> None:
    (no_card / ".asoundrc").write_text(RECORDING.format(take=no_card / "take.raw"))
    assert json.loads(at_home(no_card, "-c", CHOSEN).stdout) == [
        "miniaudio",
        "There is no sound device 'Kitchen'. Found: none. The system's own device plays.",
    ]


def test_where_there_is_no_device_at_all_silence_plays_and_both_are_told(no_card: Path) -> None:
    name, notice = json.loads(at_home(no_card, "-c", CHOSEN).stdout)
    assert name == "silent"
    assert notice.startswith("There is no sound device 'Kitchen'. Found: none. Playing in silence.")


def test_simpleaudio_cannot_choose_a_device() -> None:
    with pytest.raises(SoundError, match="the system's default device only"):
        open_player("simpleaudio", device="Kitchen")


def test_an_unknown_player_names_those_there_are() -> None:
    with pytest.raises(RequestError) as refused:
        open_player("gramophone")
    assert refused.value.sentence() == (
        "There is no sound 'gramophone'. Choose auto, miniaudio, simpleaudio or silent."
    )


def test_the_environment_chooses_for_who_does_not(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_SOUND", "silent")
    player = open_player()
    assert player.name == "silent"
    assert player.notice == "Playing in silence, as COMPANION_SOUND says."


def test_a_wrong_environment_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_SOUND", "loud")
    with pytest.raises(RequestError, match="^COMPANION_SOUND: There is no sound 'loud'"):
        open_player()


def test_who_chooses_is_not_overruled_by_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_SOUND", "loud")
    assert open_player("silent").notice == ""


@pytest.mark.parametrize("version", [(3, 12), (3, 13), (4, 0)])
def test_simpleaudio_is_refused_where_it_crashes(version: tuple[int, int]) -> None:
    with pytest.raises(SoundError) as refused:
        sound_libraries.simpleaudio(version)
    assert refused.value.sentence() == (
        f"simpleaudio crashes under Python {version[0]}.{version[1]}. "
        "Choose miniaudio, or run companion with Python 3.11."
    )


def test_simpleaudio_is_not_refused_where_it_works() -> None:
    assert sound_libraries.refusal((3, 11)) is None


def test_the_silent_player_is_a_player_like_the_others() -> None:
    player: Player = open_player("silent", rate=44100)
    assert (player.rate, player.state, player.failure) == (44100, "idle", "")
    assert player.hearing() == (None, 0)


def test_music_made_for_another_rate_is_refused() -> None:
    player = open_player("silent", rate=44100)
    with pytest.raises(SoundError, match="48000 frames a second, the player 44100"):
        player.start(noise(10, seed=1))


def test_music_does_not_start_before_its_beginning() -> None:
    with pytest.raises(RequestError, match="no frame -1"):
        open_player("silent").start(noise(10, seed=1), at=-1)


def test_nothing_can_be_swapped_while_nothing_plays() -> None:
    with pytest.raises(RequestError, match="Start it first"):
        open_player("silent").swap(noise(10, seed=1), lambda frame: frame)


def test_empty_music_has_ended_as_soon_as_it_starts() -> None:
    player = open_player("silent")
    player.start(Rendered(np.zeros((0, 2), np.int16), 48000))
    assert (player.state, player.heard()) == ("ended", 0)


def test_asking_for_a_player_loads_nothing_heavy(tmp_path: Path) -> None:
    told = at_home(tmp_path, "-c", "import companion.sound.player, sys; print(*sys.modules)")
    assert not {"numpy", "miniaudio", "simpleaudio"} & set(told.stdout.split())


def test_a_program_that_ends_without_closing_ends(no_card: Path) -> None:
    (no_card / ".asoundrc").write_text(RECORDING.format(take=no_card / "take.raw"))
    forgetful = (
        "from companion.sound.player import open_player\n"
        "from tests.sound.music import noise\n"
        "open_player('miniaudio').start(noise(4800, seed=1, loop_from=0))\n"
        "raise SystemExit(7)\n"
    )
    told = at_home(no_card, "-c", forgetful)
    assert (told.returncode, told.stderr) == (7, "")
