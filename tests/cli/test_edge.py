"""The edge of the command line: any output, any number, no traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from shutil import which

import pytest

import companion
from companion.files.folders import demo_score
from companion.wording.control_characters import CONTROL

DEMO = str(demo_score())
ROOT = str(Path(companion.__file__).parents[1])


def run(
    *words: str | bytes, data: Path, encoding: str = "utf-8", closed: str = ""
) -> subprocess.CompletedProcess[bytes]:
    """A command line as a process of its own; `closed` is a redirection of the shell."""
    command = [sys.executable, "-m", "companion", "--data-dir", str(data), *words]
    if closed:
        command = ["sh", "-c", f'"$@" {closed}', "sh", *command]
    surroundings = {**os.environ, "PYTHONIOENCODING": encoding}
    return subprocess.run(command, capture_output=True, env=surroundings, check=False)


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "latin-1"])
@pytest.mark.parametrize(
    "words", [("study", DEMO, "--part", "Cello"), ("map", DEMO), ("progress", DEMO, "--part", "1")]
)
def test_any_encoding_of_the_output_will_do(
    tmp_path: Path, encoding: str, words: tuple[str, ...]
) -> None:
    done = run(*words, data=tmp_path, encoding=encoding)
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"Chain Ferry" in done.stdout
    assert done.stdout.decode(encoding)


def test_what_an_encoding_lacks_is_written_plainly(tmp_path: Path) -> None:
    told = run("study", DEMO, "--part", "Cello", data=tmp_path, encoding="ascii").stdout
    assert b"Bars 14-21" in told or b"Bars 13-20" in told


@pytest.mark.skipif(os.name != "posix", reason="the shell's redirections")
def test_a_closed_output_is_said_where_anybody_can_hear_it(tmp_path: Path) -> None:
    done = run("map", DEMO, data=tmp_path, closed=">&-")
    assert done.returncode == 1
    assert done.stderr == b"companion: there is nowhere to write to: the output is closed.\n"


@pytest.mark.parametrize(
    "words",
    [
        ("map", DEMO, "--part", "7" * 5000),
        ("click", DEMO, "--part", "1", "--bars", "8" * 5000, "--tempo", "60", "-o", "x.wav"),
        ("click", DEMO, "--part", "1", "--bars", "1-2", "--tempo", "9" * 5000, "-o", "x.wav"),
        ("beat", "9" * 5000 + ":2", "--tempo", "60"),
        ("habits", "--minutes", "9" * 5000),
        ("today", "--minutes", "x" * 5000),
        ("exercise", "list", "--instrument", "y" * 5000),
        ("w" * 5000,),
        ("study", DEMO, "--part", "9" * 5000),
        ("manual", "9" * 5000),
        ("exercise", "close", "9" * 5000),
        ("today", "--minutes=--"),
        ("log", "add", "--note=--", "--what", "scales", "--minutes", "3"),
        ("log", "--part", b"\xff"),
        ("log", "add", "--what", "scales", "--minutes", "3", "--note", b"\xff"),
        ("report", "-o", ""),
        ("progress", "--week", "0001-01-01"),
        ("progress", "--week", "9999-12-31"),
        (
            *("click", DEMO, "--part", "1", "--bars", "1-2", "--tempo", "as marked"),
            *("--fermata", "1e400", "-o", "x.mid"),
        ),
    ],
)
def test_what_cannot_be_meant_is_refused_in_brief(
    tmp_path: Path, words: tuple[str | bytes, ...]
) -> None:
    done = run(*words, data=tmp_path)
    assert done.returncode == 2
    assert len(done.stderr) < 1500, done.stderr


def test_a_number_nobody_can_count_to_is_refused(tmp_path: Path) -> None:
    done = run("log", "--last", "9" * 20, data=tmp_path)
    assert done.returncode == 2 and b"too large" in done.stderr


def test_a_data_folder_that_cannot_be_is_refused(tmp_path: Path) -> None:
    done = run("log", data=tmp_path / ("x" * 300))
    assert done.returncode != 0 and b"Traceback" not in done.stderr
    assert b"not a folder that can hold a log" in done.stderr


def test_an_unforeseen_fault_is_one_sentence(tmp_path: Path) -> None:
    # A planted fault: the module of a command fails in a way nobody foresaw.
    code = "\n".join(
        (
            "import companion.cli.log_command as command",
            "command.run = lambda args: 1 // 0",
            "import sys",
            "sys.argv = ['companion', 'log']",
            "from companion.__main__ import run",
            "run()",
        )
    )
    surroundings = {**os.environ, "COMPANION_DATA": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, env=surroundings, check=False
    )
    assert done.returncode == 1
    (line,) = done.stderr.decode().splitlines()
    assert line.startswith("companion: an unforeseen fault (ZeroDivisionError). Details: ")
    assert "ZeroDivisionError" in Path(line.split("Details: ")[1]).read_text("utf-8")


def test_a_fault_is_kept_where_the_command_line_says_for_this_user_alone(tmp_path: Path) -> None:
    code = "import sys, companion.__main__ as here; sys.argv[1:] = ['log', '--data-dir', 'mine', "
    code += "'--minutes', 'x']; [here._unforeseen(ValueError(str(n))) for n in range(3)]"
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        capture_output=True,
        env={**os.environ, "COMPANION_DATA": str(tmp_path / "other"), "PYTHONPATH": ROOT},
        check=True,
    )
    assert done.stderr.count(b"Details: ") == 3
    kept = sorted((tmp_path / "mine" / "faults").iterdir())
    assert len(kept) == 3
    assert not (tmp_path / "other").exists()
    if os.name == "posix":
        assert {one.stat().st_mode & 0o777 for one in kept} == {0o600}


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("words", [("--help",), ("--version",), ("map", "--help"), ("log",)])
@pytest.mark.parametrize("closed", [">/dev/full", "1</dev/null"])
def test_an_output_that_takes_nothing_is_told(
    tmp_path: Path, words: tuple[str, ...], closed: str
) -> None:
    done = run(*words, data=tmp_path, closed=closed)
    (line,) = done.stderr.decode().splitlines()
    assert (done.returncode, line[:44]) == (1, "companion: the output could not be written: ")


@pytest.mark.parametrize(
    "when", ["argparse", "companion.cli.main", "companion.errors", "companion.cli.map_command"]
)
def test_an_interrupt_while_modules_are_read_leaves_no_traceback(tmp_path: Path, when: str) -> None:
    code = f"""
import os, signal, sys
import companion.__main__ as here
class Interrupted:
    def find_spec(self, name, path=None, target=None):
        if name == {when!r}:
            os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, Interrupted())
sys.argv[1:] = ["--data-dir", {str(tmp_path)!r}, "map", {DEMO!r}]
here.run()
"""
    surroundings = {**os.environ, "PYTHONPATH": ROOT}
    command = [sys.executable, "-c", code]
    done = subprocess.run(command, capture_output=True, env=surroundings, check=False)
    assert (done.returncode, done.stderr) == (130, b"")


def _unable(*words: str) -> list[str]:
    """A command line of a user who may not pass over permissions, also where we are root."""
    command = [sys.executable, "-m", "companion", *words]
    if os.geteuid() == 0:
        dropped = "--bounding-set=-dac_override,-dac_read_search"
        return ["setpriv", dropped, *command]
    return command


@pytest.mark.skipif(
    os.name != "posix" or (os.geteuid() == 0 and which("setpriv") is None),
    reason="needs permissions that hold",
)
@pytest.mark.parametrize("words", [("map", DEMO), ("doctor",), ("log",)], ids=lambda one: one[0])
def test_a_data_folder_one_may_not_enter_is_told(tmp_path: Path, words: tuple[str, ...]) -> None:
    data = tmp_path / "data"
    data.mkdir()
    data.chmod(0)
    command = _unable("--data-dir", str(data), *words)
    done = subprocess.run(command, capture_output=True, check=False)
    data.chmod(0o700)
    assert done.returncode == 1
    assert b"this folder may not be looked into" in done.stderr


@pytest.mark.skipif(sys.platform != "linux", reason="the shell's limits")
def test_no_room_on_the_way_is_told(tmp_path: Path) -> None:
    for words in (
        ("handout", DEMO, "--part", "1", "-o", str(tmp_path / "h.html")),
        ("part", DEMO, "1", "-o", str(tmp_path / "p.pdf")),
    ):
        command = [sys.executable, "-m", "companion", "--data-dir", str(tmp_path), *words]
        limited = ["bash", "-c", 'ulimit -f 0; trap "" XFSZ; "$@"', "bash", *command]
        done = subprocess.run(limited, capture_output=True, check=False)
        assert done.returncode == 1
        (line,) = done.stderr.decode().splitlines()
        assert "unforeseen" not in line


HOSTILE = "Trio\x1b]0;owned\x07\x9b2J\u202e\u2066 end"
"""Asks a terminal to change its title, clear itself and read from the right (ECMA-48)."""


def test_what_a_stranger_wrote_never_orders_the_terminal_about(tmp_path: Path) -> None:
    """The title of a score, a name of a file and a note in the log."""
    written = demo_score().read_text("utf-8").replace("Chain Ferry", "Ferry&#x9b;2J&#x202e; end")
    score = tmp_path / "two\x1b[31mred.musicxml"
    score.write_text(written, "utf-8")
    data = tmp_path / "data"
    add = ("log", "add", "--what", "scales", "--minutes", "5", "--note", HOSTILE)
    for words in (
        add,
        ("log",),
        ("log", "--json"),
        ("map", str(score)),
        ("map", str(score), "--json"),
        ("map", str(tmp_path / "not\x1b[31mthere.xml")),
        ("library", str(tmp_path)),
    ):
        done = run(*words, data=data)
        said = (done.stdout + done.stderr).decode()
        assert "end" in said or "there" in said or "red" in said
        assert not CONTROL.search(said), words


def test_json_keeps_what_it_does_not_show(tmp_path: Path) -> None:
    run("log", "add", "--what", "scales", "--minutes", "5", "--note", HOSTILE, data=tmp_path)
    told = json.loads(run("log", "--json", data=tmp_path).stdout)
    assert told["entries"][0]["note"] == HOSTILE


ENDLESS = "9" * 5000


@pytest.mark.parametrize(
    "words",
    [
        ("map", ENDLESS),
        ("listen", ENDLESS, DEMO, "--part", "1", "--bars", "13-20", "--tempo", "60"),
        ("click", DEMO, "--part", "1", "--bars", "13", "--tempo", "60", "-o", ENDLESS),
        ("collect", ENDLESS),
        ("exercise", "check", ENDLESS),
        ("exercise", "open", ENDLESS),
        ("exercise", "make", "--ratio", "3:2", "-o", ENDLESS),
        ("library", ENDLESS, "mixed"),
    ],
    ids=lambda words: " ".join(words)[:16],
)
def test_a_path_too_long_for_any_system_is_refused_in_a_sentence(
    tmp_path: Path, words: tuple[str, ...]
) -> None:
    done = run(*words, data=tmp_path / "data")
    told = done.stderr or done.stdout  # what is wrong with an exercise is the answer to "check"
    assert (done.returncode in (1, 2), told.startswith((b"companion: ", b"999"))) == (True, True)
    assert not (tmp_path / "data" / "faults").exists()
