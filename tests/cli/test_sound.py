"""`companion sound`, run as its command runs it."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import mido
import pytest

from companion.cli import sound_command
from companion.errors import RequestError
from tests.sound.paper_midi import NAME


@pytest.fixture(autouse=True)
def in_silence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_SOUND", "silent")


def run(folder: Path, *words: str) -> int:
    parser = argparse.ArgumentParser()
    sound_command.arguments(parser)
    args = parser.parse_args(words)
    args.data_dir, args.player = str(folder), None
    return sound_command.run(args)


def test_it_tells_how_things_stand(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path) == 0
    told = capsys.readouterr().out
    assert told.startswith("plays through: silent (Playing in silence, as COMPANION_SOUND says.)")
    assert "device: the system’s default" in told
    assert "latency: 0 milliseconds" in told


def test_a_delay_is_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(tmp_path, "--delay", "180")
    capsys.readouterr()
    run(tmp_path, "--json")
    told = json.loads(capsys.readouterr().out)
    assert told["delay_ms"] == 180
    assert told["backend"] == "silent"


def test_a_device_that_is_not_there_is_refused_and_nothing_is_kept(tmp_path: Path) -> None:
    with pytest.raises(RequestError, match="there is no sound device “Kitchen”"):
        run(tmp_path, "--device", "Kitchen", "--delay", "10")
    assert not (tmp_path / "sound.json").exists()


def test_a_midi_port_is_found_by_the_beginning_of_its_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    mido.set_backend("tests.sound.paper_midi")
    try:
        run(tmp_path, "--midi", "drum", "--midi-clock", "on")
        assert f"MIDI port: {NAME}, with clock" in capsys.readouterr().out
        run(tmp_path, "--midi", "none")
        assert "MIDI port: none" in capsys.readouterr().out
    finally:
        mido.set_backend()


def test_an_empty_name_could_be_several(tmp_path: Path) -> None:
    mido.set_backend("tests.sound.paper_midi")
    try:
        with pytest.raises(RequestError, match="matches several"):
            run(tmp_path, "--midi", "")
    finally:
        mido.set_backend()


@pytest.mark.parametrize("delay", ["2000", "-500"])
def test_a_delay_nobody_has_is_refused(tmp_path: Path, delay: str) -> None:
    with pytest.raises(RequestError, match="cannot be set"):
        run(tmp_path, f"--delay={delay}")
