"""`companion exercise` from the command line: a teacher writes and sends, a student opens."""

from __future__ import annotations

import io
import json
import shlex
import sys
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.exercise.file.exercise_file import read_exercise
from companion.files.folders import demo_score
from companion.session.assigned_exercises import assignment_named
from companion.session.open_exercise import built_in_files
from tests.session.teacher_and_student import note, student

Telling = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))
    monkeypatch.delenv("COMPANION_PLAYER", raising=False)
    monkeypatch.chdir(tmp_path)


def test_a_teacher_writes_and_sends_and_a_student_opens(tmp_path: Path, capsys: Telling) -> None:
    (tmp_path / "desk").mkdir()
    words = ["exercise", "new", "--title", "The ferry", "--for", "Anna", "--due", "2030-05-21"]
    words += ["--score", str(demo_score()), "--part", "Viola", "--bars", "B-B+1", "--level", "4"]
    words += ["--tempo", "60 to 72 by 4", "--goal-days", "2", "--shows", "3:2 in the beat"]
    assert main([*words, "-o", "desk/ferry.toml"]) == 0
    assert main(["exercise", "check", "desk/ferry.toml"]) == 0
    assert main(["exercise", "pack", "desk/ferry.toml"]) == 0
    assert main(["exercise", "open", "desk/ferry.exercise", "--data-dir", "anna"]) == 0
    capsys.readouterr()
    assert main(["exercise", "list", "--json", "--data-dir", "anna"]) == 0
    (listed,) = json.loads(capsys.readouterr().out)["exercises"]
    assert (listed["title"], listed["due"], listed["state"]) == (
        "The ferry",
        "2030-05-21",
        "assigned",
    )
    (drill,) = listed["drills"]
    assert drill["goal"] == "held at dotted quarter = 72, on each of 2 days"
    assert Path(drill["score"]).read_bytes() == demo_score().read_bytes()
    assert main(["map", drill["score"]]) == 0


def test_a_score_that_lies_beside_is_not_copied(tmp_path: Path) -> None:
    (tmp_path / "ferry.musicxml").write_bytes(demo_score().read_bytes())
    words = ["exercise", "new", "--title", "Ferry", "--score", "ferry.musicxml"]
    assert main([*words, "--part", "1", "--bars", "2-9"]) == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == ["ferry.musicxml", "ferry.toml"]


def test_a_pattern_is_given_line_by_line(tmp_path: Path, capsys: Telling) -> None:
    words = ["exercise", "new", "--title", "Three over two", "-o", "x"]
    words += ["--pattern", "Clap: 2/4 e3*3 q", "--pattern", "Step: 2/4 e e q"]
    assert main(words) == 0
    assert main(["exercise", "show", "x.toml"]) == 0
    told = capsys.readouterr().out
    assert "3 against 2 in the beat" in told and "2/4 e e q" not in told


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_on_a_terminal_it_asks_for_what_matters(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = ["The ferry", "Anna", "", "", "2/4 q q | h", "66", "3", "to the rests", ""]
    monkeypatch.setattr(sys, "stdin", Terminal("\n".join(answers) + "\n"))
    assert main(["exercise", "new"]) == 0
    made = read_exercise((tmp_path / "the_ferry.toml").read_bytes(), "x").exercise
    (drill,) = made.drills
    assert (made.title, made.whom, made.due) == ("The ferry", "Anna", None)
    assert (drill.pattern, drill.goal.days, drill.listen) == ("2/4 q q | h", 3, "to the rests")


def test_what_cannot_be_is_asked_again_and_parts_are_listed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Telling
) -> None:
    answers = ["", "The ferry", "", "2030-02-31", "2030-02-28", "nowhere.mxl", str(demo_score())]
    answers += ["Oboe", "Viola", "99-100", "9-12", "quick", "60", "many", "2", "", ""]
    monkeypatch.setattr(sys, "stdin", Terminal("\n".join(answers) + "\n"))
    assert main(["exercise", "new"]) == 0
    told = capsys.readouterr().out
    for said in ("an empty text", "a day such as", "no such file", "no part", "no bar", "days"):
        assert said in told, said
    assert "Parts: 1 " in told and "3 Viola" in told
    (drill,) = read_exercise((tmp_path / "the_ferry.toml").read_bytes(), "x").exercise.drills
    assert (drill.part, drill.bars, drill.goal.days) == ("Viola", "9-12", 2)


def test_what_is_not_in_the_score_is_not_written(tmp_path: Path, capsys: Telling) -> None:
    base = ["exercise", "new", "--title", "x"]
    score = [*base, "--score", str(demo_score())]
    for words, told in (
        ([*score, "--part", "Oboe"], "no part"),
        ([*score, "--part", "1", "--bars", "99-100"], "no bar"),
        ([*base, "--pattern", "2/4 q q q"], "takes 2"),
        ([*base, "--pattern", "2/4 q q", "--shows", "3:2 in the beat"], "is not found"),
    ):
        assert main(words) == 2
        assert told in capsys.readouterr().err
    assert not list(tmp_path.glob("*.toml"))


def test_an_answer_that_is_none_is_refused_in_a_sentence(tmp_path: Path, capsys: Telling) -> None:
    base = ["exercise", "new", "--title", "x", "--pattern", "2/4 h"]
    for words, told in (
        (["--goal-outcome", "hold"], "Did you mean “held”?"),
        (["--tempo", "quick"], "tempo: expected"),
        (["--score", str(demo_score())], "cannot have both"),
        (["--due", "tomorrow"], "a day such as"),
        (["--goal-days", "many"], "a whole number of days"),
    ):
        assert main([*base, *words]) == 2
        assert told in capsys.readouterr().err
    assert main(["exercise", "new", "--pattern", "2/4 h"]) == 2
    assert not list(tmp_path.glob("*.toml"))


def test_a_file_that_is_there_is_not_overwritten_unless_asked(capsys: Telling) -> None:
    words = ["exercise", "new", "--title", "x", "--pattern", "2/4 h", "-o", "x.toml"]
    assert main(words) == 0
    assert main(words) == 1
    assert "already exists" in capsys.readouterr().err
    assert main([*words, "--again"]) == 0


def test_check_tells_every_fault_of_every_file_and_ends_with_one(
    tmp_path: Path, capsys: Telling
) -> None:
    (tmp_path / "a.toml").write_text('format = 1\ntitel = "x"\n[[drill]]\npatern = "2/4 h"\n')
    (tmp_path / "b.toml").write_text('format = 1\ntitle = "x"\n[[drill]]\npattern = "2/4 q"\n')
    (tmp_path / "c.toml").write_text('format = 1\ntitle = "x"\n[[drill]]\npattern = "2/4 h"\n')
    assert main(["exercise", "check", "a.toml", "b.toml", "c.toml", "d.toml"]) == 1
    told = capsys.readouterr().out.splitlines()
    assert [line.split(": ")[0] for line in told] == [
        *("a.toml:2:1", "a.toml:4:1", "b.toml:4:12", "d.toml"),
    ]
    assert main(["exercise", "check", "c.toml"]) == 0


def test_the_built_in_exercises_go_by_their_names(capsys: Telling) -> None:
    assert main(["exercise", "list", "--library"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == len(built_in_files()) >= 40
    assert main(["exercise", "show", "clapping/three_over_two"]) == 0
    assert main(["exercise", "show", "a_hand_each"]) == 0
    assert main(["exercise", "open", "three_over_too"]) == 1
    assert "Did you mean “three_over_two”?" in capsys.readouterr().err


def test_a_number_with_l_is_of_the_library_and_without_of_the_list(
    tmp_path: Path, capsys: Telling
) -> None:
    assert main(["exercise", "list", "--library", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["exercises"]
    assert [one["number"] for one in found] == [f"L{n}" for n in range(1, len(found) + 1)]
    seventh = found[6]["title"]
    for words in (["exercise", "show", "l7"], ["exercise", "show", seventh.upper()]):
        assert main(words) == 0
        assert capsys.readouterr().out.startswith(f"{seventh}\n")
    assert main(["exercise", "open", "L7"]) == 0
    assert main(["exercise", "show", "1"]) == 0
    assert seventh in capsys.readouterr().out
    for named in ("L7", "1", seventh):
        assert main(["part", named, "--json", "-o", str(tmp_path / "p.musicxml")]) == 0
        assert json.loads(capsys.readouterr().out)["drills"]
    assert main(["handout", "L999", "-o", str(tmp_path / "h.html")]) == 1
    assert "there is no such file" in capsys.readouterr().err


def test_the_page_for_teachers_is_at_hand(capsys: Telling) -> None:
    assert main(["exercise", "format"]) == 0
    assert capsys.readouterr().out.startswith("# How to write an exercise")


def test_the_list_shows_how_far_it_is(tmp_path: Path, capsys: Telling) -> None:
    assert main(["exercise", "list"]) == 0
    assert "Nothing is assigned" in capsys.readouterr().out
    main(["exercise", "open", "two_over_five"])
    here = student(tmp_path / "data")
    (target,) = assignment_named(here, "1").targets
    note(here, target, 50, times=2)
    capsys.readouterr()
    assert main(["exercise", "list"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "1  Two over five · in progress",
        "   Step bars 1–5: held at quarter = 60, 4 times on each of 2 days: "
        "1 attempt, so far at 50",
    ]
    assert main(["exercise", "close", "1"]) == 0
    assert main(["exercise", "close", "1"]) == 2


def test_a_fresh_exercise_is_made_by_the_seed(tmp_path: Path, capsys: Telling) -> None:
    words = ["exercise", "make", "--ratio", "4:3", "--meter", "3/4", "--level", "bar"]
    words += ["--range", "cello", "--key", "F# minor", "--seed", "7"]
    assert main([*words, "-o", "one.toml"]) == 0
    assert main([*words, "-o", "two.toml"]) == 0
    assert Path("one.toml").read_bytes() == Path("two.toml").read_bytes()
    assert main(["exercise", "make", "-o", "any.toml"]) == 0
    assert main(["exercise", "check", "one.toml", "any.toml"]) == 0
    made = Path("one.toml").read_text("utf-8").splitlines()[0]
    assert made.startswith("# companion exercise make ") and made.endswith("--seed 7")
    assert main([*shlex.split(made)[2:], "-o", "three.toml"]) == 0
    assert Path("three.toml").read_bytes() == Path("one.toml").read_bytes()
    assert main(["exercise", "make", "--shows", "hemiola", "--level", "4", "-o", "four.toml"]) == 0
    assert main(["exercise", "check", "four.toml"]) == 0
    assert main(["exercise", "make", "--ratio", "threes"]) == 2
    assert "is not a ratio" in capsys.readouterr().err


def test_a_pack_that_is_none_is_refused_in_one_line(tmp_path: Path, capsys: Telling) -> None:
    (tmp_path / "x.exercise").write_bytes(b"PK\x03\x04 nothing")
    assert main(["exercise", "open", "x.exercise"]) == 1
    assert capsys.readouterr().err.count("\n") == 1
    assert not (tmp_path / "data" / "exercises").exists()


def test_the_library_is_told_for_an_instrument(capsys: Telling) -> None:
    assert main(["exercise", "list", "--library", "--instrument", "bass"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == len(built_in_files())
    (told,) = [line for line in lines if "three_over_two_open_strings" in line]
    assert "E2–G3" in told and told.endswith("(string by string)")
    assert main(["exercise", "list", "--library", "--instrument", "cello", "--json"]) == 0
    found = {one["name"]: one for one in json.loads(capsys.readouterr().out)["exercises"]}
    assert found["bow/scale_in_triplets"]["moved"] == "as written"
    assert found["bow/scale_in_triplets"]["range"] == ["F#2", "A3"]
    assert all(one["fits"] for one in found.values())
    assert main(["exercise", "list", "--instrument", "lute"]) == 2
    assert "Choose from violin, viola, cello, double bass." in capsys.readouterr().err


def test_the_list_can_be_narrowed_to_an_instrument(capsys: Telling) -> None:
    main(["exercise", "open", "bow/scale_in_triplets", "--instrument", "viola"])
    main(["exercise", "open", "bow/scale_in_triplets"])
    capsys.readouterr()
    assert main(["exercise", "list", "--instrument", "viola"]) == 0
    told = capsys.readouterr().out.splitlines()
    (line,) = [line for line in told if not line.startswith(" ")]
    assert line.endswith("  A scale in triplets over eighths (viola) · assigned")


def test_a_name_that_could_be_two_exercises_lists_both(capsys: Telling) -> None:
    assert main(["exercise", "show", "five_over_two"]) == 1
    told = capsys.readouterr().err
    assert "bow/five_over_two or clapping/five_over_two" in told


def test_a_pack_without_scores_speaks_of_none(tmp_path: Path, capsys: Telling) -> None:
    (tmp_path / "x.toml").write_text('format = 3\ntitle = "x"\n[[drill]]\npattern = "2/4 h"\n')
    assert main(["exercise", "pack", "x.toml"]) == 0
    assert capsys.readouterr().out == "Written: x.exercise: x\n"


def test_a_bar_of_one_quarter_is_told_in_the_singular(tmp_path: Path, capsys: Telling) -> None:
    (tmp_path / "x.toml").write_text('format = 3\ntitle = "x"\n[[drill]]\npattern = "2/4 q"\n')
    assert main(["exercise", "check", "x.toml"]) == 1
    assert "lasts 1 quarter, but 2/4 takes 2" in capsys.readouterr().out


def test_a_pack_under_a_name_nobody_typed_replaces_only_a_pack(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "two.toml").write_text(
        'format = 3\ntitle = "Two"\n[[drill]]\npattern = "2/4 q q"\n', "utf-8"
    )
    pack = tmp_path / "two.exercise"
    pack.write_bytes(b"mine")
    assert main(["exercise", "pack", "two.toml"]) == 1
    assert "two.exercise would be replaced" in capsys.readouterr().err
    assert pack.read_bytes() == b"mine"
    pack.unlink()
    assert main(["exercise", "pack", "two.toml"]) == 0
    assert main(["exercise", "pack", "two.toml"]) == 0
