"""`companion open` and `companion demo`: refusals in a sentence, and the app on a real terminal."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import demo_score

Telling = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path))
    monkeypatch.setenv("COMPANION_SOUND", "silent")
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.mark.parametrize("words", [["demo"], ["open"], ["open", str(demo_score())]])
def test_without_a_terminal_the_lines_are_offered(words: list[str], capsys: Telling) -> None:
    assert main(words) == 1
    told = capsys.readouterr().err
    assert told.startswith("companion: the app needs a terminal")
    assert "companion map" in told


def test_a_wrong_name_is_told_before_the_screen_is_taken(tmp_path: Path, capsys: Telling) -> None:
    assert main(["open", str(tmp_path / "none.xml")]) == 1
    assert "there is no such file" in capsys.readouterr().err
    assert main(["open", str(tmp_path)]) == 1
    assert "this is a folder" in capsys.readouterr().err


@pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal to be had from the system")
@pytest.mark.parametrize(
    ("words", "shown"),
    [
        (["demo", "--no-color"], "bar 0 of 60"),
        (["open", str(demo_score())], "bar 0 of 60"),
        (["--player", "anna"], "Nothing opened yet"),
    ],
)
def test_on_a_terminal_a_screen_appears_and_q_leaves_it(words: list[str], shown: str) -> None:
    sent = _on_a_terminal(words, shown)
    colours = re.findall(r"\x1b\[[0-9;]*?(?:[34]8;[25];|\b[34][0-7])[0-9;]*m", sent)
    assert bool(colours) == ("--no-color" not in words)


def _on_a_terminal(words: list[str], shown: str) -> str:
    """Everything the app sends to a terminal of 80 by 24 until q, once a text is shown, ends it."""
    import pty
    import select
    import termios

    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, 80))
    environment = {**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor"}
    command = [sys.executable, "-m", "companion", *words]
    sent = b""
    with subprocess.Popen(
        command, stdin=theirs, stdout=theirs, stderr=theirs, env=environment, start_new_session=True
    ) as app:
        os.close(theirs)
        while True:
            if shown.encode() in sent:
                os.write(ours, b"q")
            # What is typed may be forgotten while the app sets its terminal.
            if not select.select([ours], [], [], 1)[0]:
                continue
            try:
                piece = os.read(ours, 65536)
            except OSError:
                break
            sent += piece
            if not piece:
                break
    os.close(ours)
    assert app.returncode == 0
    return sent.decode(errors="replace")
