"""Cue notes before an entry: where, which, and exactly when they sound.

Under beat = beat three eighths of 6/8 are a triplet of the quarter in 2/4, and eighths of
2/4 last 3/4 of a quarter in 6/8: arithmetic. What a cue is for is common practice, no
source; its form is musicxml.xsd 3.1 (note: a cue note has a duration and no tie).
"""

import pytest

from companion.part.player_entrances import Cues
from tests.part.pages import page
from tests.part.schema import faults
from tests.part.taking import Taken, take

TUNE = "4/4 A4q B4q C5q D5q | E5q D5q C5q B4q | A4q G4q F4q G4q | A4w"


def rests_then_enters(cues: Cues, top: str = TUNE, own: str = "4/4 R | R | R | C5w") -> Taken:
    return take(page(Flute=top, Oboe=own), 2, cues)


def test_the_bar_before_an_entry_shows_what_leads_into_it() -> None:
    taken = rests_then_enters(Cues.SHORT)
    assert taken.cues(3) == ["0 A4 1", "1 G4 1", "2 F4 1", "3 G4 1"]
    assert taken.cues(1) == taken.cues(2) == taken.cues(4) == []
    assert taken.words(3) == ["Flu."]
    assert taken.added["cues"] == 1


def test_a_full_cue_goes_through_the_whole_rest() -> None:
    taken = rests_then_enters(Cues.FULL)
    assert [len(taken.cues(bar)) for bar in range(1, 5)] == [4, 4, 4, 0]
    assert [taken.words(bar) for bar in range(1, 5)] == [["Flu."], [], [], []]


def test_a_full_cue_takes_no_more_than_four_bars() -> None:
    taken = rests_then_enters(Cues.FULL, f"{TUNE} | {TUNE[4:]}", "4/4 R|R|R|R|R|R|R| C5w")
    assert [bool(taken.cues(bar)) for bar in range(1, 9)] == [False] * 3 + [True] * 4 + [False]


def test_without_cues_there_are_none() -> None:
    taken = rests_then_enters(Cues.NONE)
    assert not list(taken.root.iter("cue")) and "cues" not in taken.added


def test_one_bar_of_rest_asks_for_no_cue() -> None:
    taken = rests_then_enters(Cues.FULL, own="4/4 C5w | R | C5w | C5w")
    assert taken.added["cues"] == 0


def test_a_cue_leads_up_to_an_entry_inside_a_bar_and_no_further() -> None:
    taken = rests_then_enters(Cues.SHORT, own="4/4 R | R | rh rq C5q | C5w")
    assert taken.cues(3) == ["0 A4 1", "1 G4 1", "2 F4 1"]
    assert taken.cues(2) == []


def test_an_entry_soon_after_the_barline_is_led_to_from_the_bar_before() -> None:
    taken = rests_then_enters(Cues.SHORT, own="4/4 R | R | rq C5q C5h | C5w")
    assert taken.cues(2) == ["0 E5 1", "1 D5 1", "2 C5 1", "3 B4 1"]
    assert taken.cues(3) == ["0 A4 1"]


def test_the_players_own_rest_stays_and_the_bar_adds_up() -> None:
    taken = rests_then_enters(Cues.SHORT)
    bar = taken.part.bars[2]
    own = [note for note in bar.notes if not note.is_cue]
    assert [(note.onset, note.fills_bar) for note in own] == [(0, True)]
    assert {note.voice for note in own} == {"1"}
    assert {note.voice for note in bar.notes if note.is_cue} == {"2"}
    assert bar.filled == 4 * taken.read.ticks


def test_a_cue_is_small_silent_and_carries_no_tie() -> None:
    taken = rests_then_enters(Cues.SHORT, "4/4 A4w | A4w | A4h~ ~A4q B4q | A4w")
    notes = [note for note in taken.root.iter("note") if note.find("cue") is not None]
    assert len(notes) == 3
    assert all(note.find("tie") is None for note in notes)
    kinds = [note.find("type") for note in notes]
    assert [kind.get("size") for kind in kinds if kind is not None] == ["cue"] * 3
    shown = [[tied.get("type") for tied in note.iter("tied")] for note in notes]
    assert shown == [["start"], ["stop"], []]


def test_three_eighths_of_six_eight_become_a_triplet_in_two_four() -> None:
    duo = page(
        divisions=2,
        Flute="6/8 A4q. B4q. | A4e B4e C5e D5q E5e | C5h.",
        Oboe="2/4 R | R | C5h",
    )
    taken = take(duo, 2)
    assert taken.cues(2) == [
        "0 A4 1/3",
        "1/3 B4 1/3",
        "2/3 C5 1/3",
        "1 D5 2/3",
        "5/3 E5 1/3",
    ]
    notes = [note for note in taken.measures[1].iterfind("note") if note.find("cue") is not None]
    assert {note.findtext("time-modification/actual-notes") for note in notes} == {"3"}
    brackets = [[mark.get("type") for mark in note.iter("tuplet")] for note in notes]
    assert brackets == [["start"], [], ["stop"], ["start"], ["stop"]]


def test_eighths_of_two_four_become_dotted_ones_in_six_eight() -> None:
    duo = page(Flute="2/4 A4h | A4e B4e C5q | C5h", Oboe="6/8 R | R | C5h.")
    taken = take(duo, 2)
    assert taken.cues(2) == ["0 A4 3/4", "3/4 B4 3/4", "3/2 C5 3/2"]
    assert taken.measures[1].find("note/time-modification") is None


def test_what_cannot_be_dotted_becomes_a_duplet() -> None:
    duo = page(Flute="2/4 A4h | A4e. B4s C5q | C5h", Oboe="6/8 R | R | C5h.")
    taken = take(duo, 2)
    assert taken.cues(2) == ["0 A4 9/8", "9/8 B4 3/8", "3/2 C5 3/2"]
    ratios = {
        (found.findtext("actual-notes"), found.findtext("normal-notes"))
        for found in taken.root.iter("time-modification")
    }
    assert ratios == {("2", "3")}


def test_finer_divisions_leave_every_note_of_the_part_as_long_as_it_was() -> None:
    duo = page(
        divisions=2, Flute="6/8 A4q. A4q. | A4e B4e C5e D5q. | C5h.", Oboe="2/4 R | R | C5q. D5e"
    )
    taken = take(duo, 2)
    assert taken.root.findtext(".//divisions") == "6"
    lengths = [note.length / taken.read.ticks for note in taken.part.bars[2].notes]
    assert lengths == [1.5, 0.5]


def test_a_line_in_the_players_own_meter_is_preferred() -> None:
    trio = page(
        Flute="6/8 A4q. A4q. | A4e B4e C5e D5q. | C5h.",
        Oboe="2/4 R | R | C5h",
        Horn="2/4 C4h | G4e A4e B4e C5e | C4h",
    )
    assert take(trio, 2).words(2) == ["Hor."]


def test_a_line_that_leads_in_is_preferred_to_one_that_stops() -> None:
    trio = page(
        Flute="4/4 A4w | A4q B4q C5h | C5w",
        Oboe="4/4 R | R | C5w",
        Horn="4/4 C4w | G4q A4q B4q rq | C4w",
    )
    assert take(trio, 2).words(2) == ["Flu."]


def test_a_busy_line_is_preferred_to_a_held_note_and_then_the_nearest_in_register() -> None:
    quartet = page(
        Flute="4/4 A4w | A6q B6q C6q D6q | C5w",
        Oboe="4/4 R | R | C5w",
        Horn="4/4 C4w | G4w | C4w",
        Bassoon="4/4 C3w | C5q B4q A4q B4q | C3w",
    )
    assert take(quartet, 2).words(2) == ["Bas."]


def test_nobody_cues_a_player_out_of_silence() -> None:
    taken = take(page(Flute="4/4 R | R | A4w", Oboe="4/4 R | R | C5w"), 2)
    assert taken.added["cues"] == 0 and taken.long_rests() == {1: 2}


def test_a_clarinet_reads_the_cue_as_it_would_play_it() -> None:
    """A B-flat clarinet sounds a major second below what it reads (`transpose`, diatonic −1,
    chromatic −2, in musicxml.xsd); so it must read every cue a major second higher."""
    duo = page(
        Violin="4/4 [key -2] A4w | Bb4q C5q D5q Eb5q | F5w",
        Clarinet="4/4 [key 0] [transpose -1 -2] R | R | G5w",
    )
    taken = take(duo, 2)
    assert taken.cues(2) == ["0 C5 1", "1 D5 1", "2 E5 1", "3 F5 1"]
    assert not [note for note in taken.root.iter("accidental")]


def test_and_a_violin_reads_the_clarinets_notes_as_they_sound() -> None:
    duo = page(
        Violin="4/4 [key -2] R | R | F5w",
        Clarinet="4/4 [key 0] [transpose -1 -2] A4w | C5q D5q E5q F5q | G5w",
    )
    assert take(duo, 1).cues(2) == ["0 Bb4 1", "1 C5 1", "2 D5 1", "3 Eb5 1"]


def test_accidentals_are_those_the_players_own_key_needs() -> None:
    duo = page(Violin="4/4 [key 2] A4w | F#4q F#4q F4q G4q | A4w", Oboe="4/4 [key 0] R | R | A4w")
    taken = take(duo, 2)
    signs = [
        note.findtext("accidental")
        for note in taken.measures[1].iterfind("note")
        if note.find("cue") is not None
    ]
    assert signs == ["sharp", None, "natural", None]


def test_a_low_line_is_moved_into_reach_and_says_so() -> None:
    duo = page(
        Violin="4/4 [clef G 2] R | R | A4w", Cello="4/4 [clef F 4] C2w | C2q D2q E2q F2q | G2w"
    )
    taken = take(duo, 1)
    assert taken.cues(2) == ["0 C4 1", "1 D4 1", "2 E4 1", "3 F4 1"]
    assert taken.words(2) == ["Cel. (2 octaves up)"]


def test_an_entry_does_not_take_its_cue_from_the_movement_before() -> None:
    both = page(
        Flute=f"{TUNE} | A4w | R | R | A4w", Oboe="4/4 C5w | C5w | C5w | R | R | R | R | C5w"
    )
    second = both
    for number in range(5, 9):
        second = second.replace(f'number="{number}"'.encode(), f'number="{number - 4}"'.encode())
    taken = take(second, 2, Cues.FULL)
    assert [bool(taken.cues(bar)) for bar in range(1, 9)] == [False] * 4 + [True] + [False] * 3


@pytest.mark.parametrize("cues", list(Cues))
def test_whatever_is_cued_the_page_follows_the_schema(cues: Cues) -> None:
    duo = page(
        divisions=2,
        Flute="6/8 A4e B4e C5e A4q. | A4e B4e C5e D5q E5e | C5q. D5q~ ~D5e | A4h.",
        Oboe="2/4 R | R | rq C5q | C5h",
    )
    assert faults(take(duo, 2, cues).musicxml, "3.1") == []


def test_the_players_rests_make_room_for_a_cue() -> None:
    """A high cue: stems up, the rest under it (common practice, no source)."""
    taken = rests_then_enters(Cues.SHORT, "4/4 A4w | A4w | D5q E5q F5q G5q | A5w")
    notes = taken.measures[2].findall("note")
    assert {note.findtext("stem") for note in notes[1:]} == {"up"}
    assert notes[0].findtext("rest/display-octave") == "4"
    assert notes[0].findtext("rest/display-step") == "C"
