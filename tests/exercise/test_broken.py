"""Mistakes as people make them: each file with the sentences it is answered by.

The sentences stand in the file itself, after `#>`, below everything a mistake could reach.
"""

from __future__ import annotations

import re
from pathlib import Path
from tempfile import gettempdir

import pytest

from companion.exercise.file.exercise_file import LARGEST, read_exercise
from companion.exercise.file.faults import ExerciseError, Fault
from companion.files.folders import Folders
from companion.session.open_exercise import check_exercise

BROKEN = sorted(Path(__file__).with_name("broken").glob("*.toml"))
NOWHERE = Folders(Path(gettempdir(), "nobody"), Path(gettempdir(), "nobody", "cache"))

WITHOUT_ROOM_FOR_A_COMMENT = {
    "empty": [
        "1:1: “drill” is missing in an exercise. Add [[drill]].",
        "1:1: “format” is missing in an exercise. Add format = 3.",
        '1:1: “title” is missing in an exercise. Add title = "…".',
    ],
    "open_long_text": ["6:18: this is not TOML: unterminated string."],
    "open_table": ["5:20: this is not TOML: unclosed inline table."],
}


def test_there_are_more_than_sixty() -> None:
    assert len(BROKEN) >= 60


@pytest.mark.parametrize("path", [pytest.param(path, id=path.stem) for path in BROKEN])
def test_every_mistake_is_answered_at_its_place(path: Path) -> None:
    expected = re.findall("^#> (.*)$", path.read_text("utf-8"), re.M)
    with pytest.raises(ExerciseError) as caught:
        check_exercise(path, NOWHERE)
    told = [line.removeprefix(f"{path.name}:") for line in caught.value.lines()]
    assert told == (expected or WITHOUT_ROOM_FOR_A_COMMENT[path.stem])


def test_the_first_fault_is_the_error_and_the_others_are_counted() -> None:
    path = next(path for path in BROKEN if path.stem == "many_faults")
    with pytest.raises(ExerciseError) as caught:
        check_exercise(path, NOWHERE)
    assert caught.value.sentence() == (
        "many_faults.toml:2:1: “titel” is not a key of an exercise. Did you mean “title”? "
        "There are 5 more; companion exercise check lists them all."
    )


GOOD = 'format = 1\ntitle = "Fünf über zwei"\n[[drill]]\npattern = "2/4 h"\n'


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (
            GOOD.encode("utf-16"),
            "x:1:1: this file is saved as UTF-16. Save the file again as UTF-8.",
        ),
        (GOOD.encode("latin-1"), "x:2:11: this letter is not UTF-8. Save the file again as UTF-8."),
        (GOOD.encode() + b"\0", "x:5:1: this is not TOML: "),
        (b"a" * (LARGEST + 1), "x:1:1: this file is over 256 kilobytes, too long for an exercise."),
        (
            b".".join([b"a"] * 60_000) + b" = 1",
            "x:1:26: keys or values are nested too deeply here.",
        ),
        (b"a = " + b"[" * 60_000, "x:1:18: keys or values are nested too deeply here."),
        (b"a = " + b"{a=" * 60_000, "x:1:"),
        (b"a = 1" + b"0" * 10_000, "x:1:"),
        (b"[" + b"a." * 60_000 + b"a]", "x:1:"),
    ],
)
def test_bytes_that_are_no_text_or_would_be_heavy(content: bytes, told: str) -> None:
    with pytest.raises(ExerciseError) as caught:
        read_exercise(content, "x")
    assert caught.value.lines()[0].startswith(told)


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_files_of_every_editor_open(mark: bytes, end: str) -> None:
    content = mark + GOOD.replace("\n", end).encode()
    assert read_exercise(content, "x").exercise.title == "Fünf über zwei"


DRILL = '[[drill]]\npattern = "2/4 q q"\n'


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('instructions = "{}"\n' + DRILL, "has 30,000 letters. Keep it to 20,000."),
        ('[[drill]]\npattern = "{}"\n', "has 30,000 letters. Keep it to 10,000."),
        ('[[drill]]\nabc = "{}"\n', "has 30,000 letters. Keep it to 10,000."),
        (DRILL + 'part = "{}"\n', "has 30,000 letters. Keep it to 100."),
    ],
)
def test_a_text_that_is_too_long_is_told_so(text: str, told: str) -> None:
    content = 'format = 3\ntitle = "t"\n' + text.format("q" * 30_000)
    with pytest.raises(ExerciseError) as refusal:
        read_exercise(content.encode(), "long.toml")
    assert told in refusal.value.sentence()


@pytest.mark.parametrize("number", ["9" * 5000, "0x" + "f" * 5000, "-" + "9" * 5000 + ".5"])
def test_an_endless_number_is_told_at_its_place(number: str) -> None:
    content = f'format = 3\ntitle = "t"\n{DRILL}part = {number}\npart = {number}\n'
    with pytest.raises(ExerciseError, match=r"long\.toml:5:8: this number goes on for 5,00\d"):
        read_exercise(content.encode(), "long.toml")


def test_a_control_character_in_a_name_is_left_out_of_the_notes(tmp_path: Path) -> None:
    path = tmp_path / "sign.toml"
    path.write_text(
        'format = 3\ntitle = "t\\u0000"\n'
        '[[drill]]\ntitle = "d\\u001b"\npattern = "A\\u001b[2J: 2/4 q q"\n'
    )
    checked = check_exercise(path, NOWHERE)
    assert [part.name for part in checked.open_score(1).score.parts] == ["A[2J"]


def test_a_fault_quotes_in_brief() -> None:
    fault = Fault(1, 1, f"“q*{'9' * 5000}” is no note")
    assert len(fault.sentence()) < 200
