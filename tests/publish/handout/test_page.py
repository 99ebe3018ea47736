"""What stands on a handout, and that it stands by itself."""

import json
import re
from fractions import Fraction
from pathlib import Path

import pytest

from companion.errors import RequestError
from companion.files.folders import Folders, demo_score
from companion.part.engraving import engrave
from companion.publish.handout.handout import HandoutRequest, hand_out_score, write_handout
from companion.publish.handout.lesson import handout_of, hardest_bars, lesson_of
from companion.publish.html_page import STYLE
from companion.session.open_score import OpenScore, open_for_practice
from tests.part.pages import page
from tests.publish.handout.reading import Read, read

VIOLA = 2


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> Folders:
    home = tmp_path_factory.mktemp("home")
    return Folders(home / "data", home / "cache")


@pytest.fixture(scope="module")
def open_score(folders: Folders) -> OpenScore:
    return open_for_practice(demo_score(), folders)


@pytest.fixture(scope="module")
def viola(
    open_score: OpenScore, folders: Folders, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    path = tmp_path_factory.mktemp("page") / "viola.html"
    write_handout(handout_of(lesson_of(open_score, VIOLA, (14, 15))), path, folders)
    return path


@pytest.fixture(scope="module")
def told(viola: Path) -> Read:
    return read(viola.read_text("utf-8"))


def test_it_has_every_section_and_no_heading_is_skipped(told: Read) -> None:
    assert [text for level, text in told.headings if level <= 2] == [
        "Four for the Chain Ferry",
        "What to know",
        "Conflicts",
        "Play it",
        "Counting aloud",
        "What you noted",
    ]
    levels = [level for level, _ in told.headings]
    assert levels[0] == 1
    assert all(later <= earlier + 1 for earlier, later in zip(levels, levels[1:], strict=False))


def test_three_against_two_is_named_counted_and_mapped(told: Read) -> None:
    assert "3 against 2 in the beat. You and Cello divide it into 3" in told.text
    # How 3 against 2 is counted aloud: common practice, no source.
    assert "1 2& 3 in the beat: 3 divides at every number, 2 at 1 and the & of 2" in told.text
    assert "Bars 13–20: 3 against 2 in the beat, as written: " in told.text


def test_each_side_and_every_part_can_be_heard_at_three_tempos(told: Read) -> None:
    # The quartet is marked 69 in these bars; three fifths and four fifths of it are 41 and 55.
    for said in (
        *("slow: 41", "on the way: 55", "at tempo: 69", "another:"),
        *("the beat", "the pulses", "your side", "the other side"),
        *("Viola (yours)", "Violin I", "Violin II", "Cello"),
    ):
        assert f" {said}" in told.text
    boxes = [one for one in told.all("input") if one["type"] == "checkbox"]
    assert [one["class"] for one in boxes if "checked" in one] == [
        *("layer", "layer", "layer", "count-in", "with-click")
    ]


def test_pictures_are_named_for_who_cannot_see_them(told: Read) -> None:
    pictures = [one for one in told.all("svg") if one.get("role") == "img"]
    assert [one["class"] for one in pictures] == ["map", "lanes", "notes", "notes"]
    assert pictures[0]["aria-label"].startswith("Map of bars 0–60")
    assert pictures[1]["aria-label"].startswith("Lanes of Viola, Violin I, Violin II, Cello")
    assert [one["aria-label"] for one in pictures[2:]] == [
        "Violin I, bars 13–14, as notes",
        "Viola, bars 13–14, as notes",
    ]


def test_the_language_is_told_and_nothing_can_be_fetched(viola: Path, told: Read) -> None:
    assert told.all("html")[0]["lang"] == "en"
    assert "default-src 'none'" in told.all("meta")[1]["content"]
    assert [one.get("id") for one in told.all("script")] == ["playing", None]
    assert not told.all("link") + told.all("img") + told.all("iframe")
    addresses = re.findall(
        r"(?:https?:)?//[\w.-]+", re.sub("[A-Za-z0-9+/=]{200,}", "", _text(viola))
    )
    assert set(addresses) <= {"http://www.w3.org"}  # names of XML vocabularies, never fetched


def _text(path: Path) -> str:
    return path.read_text("utf-8")


def test_it_can_be_mailed(viola: Path) -> None:
    assert viola.stat().st_size < 1_500_000


def test_it_asks_for_care(told: Read) -> None:
    assert "Start with the volume low" in told.text
    assert "ask your teacher or a doctor" in told.text


def test_eight_bars_are_heard_to_the_end(
    open_score: OpenScore, folders: Folders, tmp_path: Path
) -> None:
    made = write_handout(handout_of(lesson_of(open_score, VIOLA)), tmp_path / "page.html", folders)
    text = read(_text(made.path)).text
    assert "Viola, bars 13–20." in text
    assert "No bars were named" in text
    assert made.size < 1_500_000


def test_long_passages_are_heard_whole(
    open_score: OpenScore, folders: Folders, tmp_path: Path
) -> None:
    lesson = lesson_of(open_score, VIOLA, (14, 35), Fraction(30))
    made = write_handout(handout_of(lesson), tmp_path / "page.html", folders)
    (playing,) = re.findall('id="playing">(.*?)</script>', _text(made.path))
    (sound,) = [one["sound"] for one in json.loads(playing)["lessons"]]
    # The viola's 22 bars of 6/8, in dotted quarters on the clock of the first bar.
    assert len(sound["bars"]) == 22
    assert sound["strokes"][-1][0] > sound["bars"][-1]["at"]
    assert made.size < 1_500_000


def test_the_hardest_bars_are_chosen_where_none_are_named(open_score: OpenScore) -> None:
    assert hardest_bars(open_score, VIOLA)[0] == (14, 21)


def test_where_nothing_pulls_the_first_bars_it_plays_are_chosen(
    folders: Folders, tmp_path: Path
) -> None:
    score = tmp_path / "calm.musicxml"
    score.write_bytes(page(Flute="2/4 A4h | A4h | A4h", Horn="2/4 R | R | C4h"))
    lesson = lesson_of(open_for_practice(score, folders), 1)
    assert (lesson.passage.first, lesson.passage.last) == (3, 3)
    assert "this part has no conflicts" in lesson.chosen


def test_a_whole_symphony_is_no_handout(folders: Folders, tmp_path: Path) -> None:
    score = tmp_path / "long.musicxml"
    score.write_bytes(page(Flute=" | ".join(["2/4 A4h"] + ["A4h"] * 69)))
    with pytest.raises(RequestError, match="too many for a handout"):
        lesson_of(open_for_practice(score, folders), 0, (1, 70))


def test_names_from_the_score_are_only_text(folders: Folders, tmp_path: Path) -> None:
    score = tmp_path / "odd.musicxml"
    odd = page(Flute="6/8 A4q. B4q.", Horn="2/4 C4q D4q")
    score.write_bytes(odd.replace(b">Flute<", b">&lt;script&gt;alert(1)&lt;/script&gt;<"))
    open_score = open_for_practice(score, folders)
    made = hand_out_score(open_score, HandoutRequest(), tmp_path / "pages", folders)
    for one in made:
        scripts = read(_text(one.path)).all("script")
        assert scripts in ([], [{"type": "application/json", "id": "playing"}, {}])
    assert "<script>alert(1)</script>" in read(_text(made[0].path)).text


def test_a_folder_has_a_page_for_each_part_and_one_that_lists_them(
    open_score: OpenScore, folders: Folders, tmp_path: Path
) -> None:
    made = hand_out_score(open_score, HandoutRequest(bars="13"), tmp_path / "pages", folders)
    assert [one.path.name for one in made] == [
        *("1-violin-i.html", "2-violin-ii.html", "3-viola.html", "4-cello.html"),
        "index.html",
    ]
    index = read(_text(made[-1].path))
    assert [link["href"] for link in index.all("a")] == [one.path.name for one in made[:-1]]
    assert "Violin I, bar 13" in index.text


def test_the_part_that_pulls_against_mine_is_engraved_too(
    open_score: OpenScore, folders: Folders, tmp_path: Path
) -> None:
    """From bar 13 the violins are in 2/4 beside the lower parts in 6/8; in bars 2 and 3 nobody
    pulls (`assets/demo`, read by hand). Bars here are places in the file."""
    for bars, names in (((14, 15), ["Violin I", "Viola"]), ((3, 4), ["Viola"])):
        made = write_handout(
            handout_of(lesson_of(open_score, VIOLA, bars)), tmp_path / "page.html", folders
        )
        pictures = re.findall(r'aria-label="([^"]+), bars? [^"]+, as notes"', _text(made.path))
        assert pictures == names


def test_without_the_engraver_the_page_says_so_and_has_all_else(
    open_score: OpenScore, folders: Folders, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engrave, "_ENGRAVER", "no_such_engraver")
    lesson = lesson_of(open_score, VIOLA, (14, 14))
    made = write_handout(handout_of(lesson), tmp_path / "page.html", folders)
    text = read(_text(made.path)).text
    assert "The notes are not on this page" in text and "Please play from your own part" in text
    assert made.missing and "Counting aloud" in text


def test_ink_is_dark_enough() -> None:
    """WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text; the formula is the one it gives."""
    on = {"#fff": (), "#f2f2f2": ()}
    for ink in ("#1a1a1a", "#4a4a4a", "#0b3d91"):
        assert f"color: {ink}" in STYLE
        for paper in on:
            assert (_light(paper) + 0.05) / (_light(ink) + 0.05) >= 4.5


def _light(colour: str) -> float:
    digits = colour[1:] if len(colour) == 7 else "".join(one * 2 for one in colour[1:])
    shares = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    red, green, blue = (
        share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
