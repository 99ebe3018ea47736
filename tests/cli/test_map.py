"""`companion map` on real scores, as a person and a program call it.

The two corpus scores are a published check: their simultaneous meters were counted in the
XML of music21's corpus itself (bars 33–40, 61–63, 138–141: 2/2 with 6/8; 77–86: 3/4 with
6/8; 163 bars in every part; and 3/4 with 6/8 in all 94 bars of the other).
"""

import json
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import demo_score

Telling = pytest.CaptureFixture[str]


def corpus(path: str) -> str:
    package = find_spec("music21")
    assert package is not None and package.origin is not None
    return str(Path(package.origin).parent / "corpus" / path)


GLORIA = corpus("trecento/PMFC_24_6-Gloria_Spiritus_et_alme.xml")
OTHER_GLORIA = corpus("trecento/PMFC_24_8-Gloria Ciconia 8.xml")


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))


def mapped(capsys: Telling, score: str, *options: str) -> dict[str, list[dict[str, object]]]:
    assert main(["map", score, "--json", *options]) == 0
    told = capsys.readouterr()
    assert told.err == ""
    found: dict[str, list[dict[str, object]]] = json.loads(told.out)
    return found


def test_everything_that_pulls_is_one_array(capsys: Telling) -> None:
    found = mapped(capsys, GLORIA)["findings"]
    assert [one["first"] for one in found] == sorted(one["first"] for one in found)  # type: ignore[type-var]
    kinds = {one["kind"] for one in found}
    assert {"conflict", "notated conflict", "displacement"} <= kinds
    for one in found:
        assert set(one) >= {"kind", "first", "last", "printed", "sides", "basis", "certainty"}
        assert ("ratio" in one) != ("period" in one)


def test_the_known_mixed_meters_of_a_corpus_score(capsys: Telling) -> None:
    found = mapped(capsys, GLORIA)
    upper, lower = ("P1", "P2"), ("P3", "P4")
    stretches = [(33, 40, "2/2"), (61, 63, "2/2"), (77, 86, "3/4"), (138, 141, "2/2")]
    assert found["mixed_meters"] == [
        {
            "first": first,
            "last": last,
            "printed": f"{first}–{last}",
            "meters": dict.fromkeys(upper, top) | dict.fromkeys(lower, "6/8"),
        }
        for first, last, top in stretches
    ]
    assert [
        (c["first"], c["last"], c["ratio"], c["level"], c["basis"]) for c in found["conflicts"]
    ] == [
        # Read in the notes: in 33 to 40 the lower parts only hold, and nobody plays threes; in
        # 82 to 84 one beats quarters against dotted quarters; in the second beat of 139 the
        # contratenor plays on its last third, the uppers two and four to the beat.
        (33, 40, "3:2", "beat", "notated"),
        (61, 63, "3:2", "beat", "notated"),
        (77, 81, "3:2", "bar", "notated"),
        (82, 84, "3:2", "bar", "meter"),
        (85, 86, "3:2", "bar", "notated"),
        (138, 138, "3:2", "beat", "notated"),
        (139, 139, "3:2", "beat", "meter"),
        (139, 139, "4:3", "beat", "meter"),
        (140, 141, "3:2", "beat", "notated"),
    ]
    assert found["conflicts"][0]["sides"] == [
        {"division": 3, "parts": ["P3", "P4"]},
        {"division": 2, "parts": ["P1", "P2"]},
    ]


def test_parts_in_other_meters_stay_together_to_the_last_bar(capsys: Telling) -> None:
    bars = mapped(capsys, GLORIA)["bars"]
    assert len(bars) == 163
    assert {bar["length"] for bar in bars} == {"2", "3"}
    assert [bar["bar"] for bar in bars if bar["length"] == "3"] == [158]
    assert bars[-1]["start"] == "325"


def test_a_score_that_is_mixed_throughout(capsys: Telling) -> None:
    found = mapped(capsys, OTHER_GLORIA)
    meters = {"P1": "3/4", "P2": "3/4", "P3": "6/8", "P4": "6/8"}
    assert found["mixed_meters"] == [{"first": 1, "last": 94, "printed": "1–94", "meters": meters}]
    assert [bar["length"] for bar in found["bars"]] == ["3"] * 94


def test_what_was_assumed_is_told_with_its_reason(capsys: Telling) -> None:
    assert mapped(capsys, GLORIA)["assumptions"][0] == {
        "bar": 33,
        "printed": "33",
        "what": "tempo relation",
        "value": "beat = beat",
        "because": "custom",
        "parts": ["P1", "P2"],
    }


def test_the_demo_has_every_kind_of_bar_it_promises(capsys: Telling) -> None:
    found = mapped(capsys, str(demo_score()))
    kinds = {(c["ratio"], c["level"], c["basis"]) for c in found["conflicts"]}
    assert kinds == {("3:2", "beat", "meter"), ("3:2", "bar", "meter"), ("3:2", "beat", "rhythm")}
    bars = found["bars"]
    assert len(bars) >= 48
    starts = [Fraction(str(bar["start"])) for bar in bars]
    lengths = [Fraction(str(bar["length"])) for bar in bars]
    assert starts[1:] == [a + b for a, b in zip(starts, lengths, strict=True)][:-1]


def test_people_read_names_and_sentences(capsys: Telling) -> None:
    assert main(["map", GLORIA]) == 0
    told = capsys.readouterr().out
    assert "bars 33–40: 2/2 Cantus I, Cantus II · 6/8 Contratenor, Tenor" in told
    assert "bars 33–40: 3 against 2 in the beat, on the page only" in told
    assert "bar 33: tempo relation: beat = beat, by custom (Cantus I, Cantus II)" in told


def test_the_second_reading_comes_from_the_cache_and_is_the_same(
    capsys: Telling, tmp_path: Path
) -> None:
    first = mapped(capsys, GLORIA)
    entries = sorted((tmp_path / "data" / "cache").iterdir())
    assert [entry.suffix for entry in entries] == [".conflicts", ".periods", ".score"]
    kept = [entry.read_bytes() for entry in entries]
    assert mapped(capsys, GLORIA) == first
    assert [entry.read_bytes() for entry in entries] == kept


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"this is no score",
        b"<?xml version='1.0'?><html/>",
        b"<?xml version='1.0'?><score-partwise><part-list>",
        b"PK\x03\x04 not really",
        b"<!DOCTYPE s [<!ENTITY a 'b'><!ENTITY c '&a;&a;'>]><score-partwise>&c;</score-partwise>",
    ],
)
def test_what_is_no_score_ends_in_one_sentence(
    content: bytes, capsys: Telling, tmp_path: Path
) -> None:
    score = tmp_path / "thing.xml"
    score.write_bytes(content)
    assert main(["map", str(score), "--json"]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("companion: ") and told.err.count("\n") == 1
    assert [path.name for path in tmp_path.iterdir()] == ["thing.xml"]


@pytest.mark.parametrize("words", [["map"], ["map", "x", "--nonsense"], ["dance"]])
def test_a_wrong_command_line_ends_with_two(words: list[str]) -> None:
    with pytest.raises(SystemExit) as end:
        main(words)
    assert end.value.code == 2


def test_a_data_folder_that_is_no_folder_is_refused(capsys: Telling, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    assert main(["--data-dir", str(tmp_path / "file"), "log"]) == 2
    assert "not a folder that can hold a log" in capsys.readouterr().err
