"""A beat without a score: a meter or a ratio, for scales and for warming up.

It is one bar, written as a score in memory, so that the drill plays it as it plays any passage:
layers, plans, silences, drone. What is played to it is minutes in the log, never an attempt:
nobody can have practised a score that is not there.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate, pairwise
from math import lcm
from pathlib import Path

from msgspec import Struct

from companion.click.plan.layers import AnyLayer, Layer, PartRhythm
from companion.click.plan.tempo_plan import Fixed
from companion.click.words.tempo_words import tempo_in_words
from companion.errors import RequestError
from companion.files.folders import Folders
from companion.files.whole_file import keep_json, kept_json
from companion.journal.log_entries import add_entry
from companion.practice.attempt import Attempt
from companion.practice.entry import Activity, LogEntry
from companion.rhythm.meter import LARGEST_NUMBER, parse
from companion.rhythm.tempo import nearest_tempo
from companion.score.model import Note, Part, PartBar, Score
from companion.score.passage import Passage, passage
from companion.score.readers.opening import Opened
from companion.session import setting_changes
from companion.session.drill import Drill
from companion.session.open_score import Choices, OpenScore, laid_with_choices
from companion.session.settings import Setting
from companion.session.starting_tempo import TempoSource
from companion.session.tally import Stretch
from companion.sound.device_choice import player_for, sound_choice

USUAL = "4/4"
"""The beat of a player who never chose one."""
_RATIO = re.compile(r"([0-9]{1,2}) ?: ?([0-9]{1,2})")
_SHORTEST = 60
"""Seconds under which nothing is logged, as with the timer."""


@dataclass(frozen=True, slots=True)
class PlainBeat:
    """What is beaten."""

    text: str
    """`6/8`, `3+2+2/8` or `3:2`."""
    meter: str
    """Of its bar."""
    lines: tuple[tuple[str, tuple[Fraction, ...]], ...]
    """Each part's name and its equal or unequal notes, in quarters, mine first."""


def plain_beat(text: str) -> PlainBeat:
    """Read a meter, groups or a ratio. In a ratio the second number is the beats of the bar, the
    first the equal notes laid over them. Raises RequestError for what is neither."""
    compact = "".join(text.split())
    if ":" not in compact:
        meter = parse(compact)
        return PlainBeat(compact, compact, ((compact, meter.beats),))
    found = _RATIO.fullmatch(compact)
    mine, theirs = (int(found[1]), int(found[2])) if found else (0, 0)
    if not (1 <= mine <= LARGEST_NUMBER and 1 <= theirs <= LARGEST_NUMBER):
        raise RequestError(
            f"“{text}” is not a ratio",
            next=f"Write 3:2, with numbers from 1 to {LARGEST_NUMBER}.",
        )
    lines = (
        (f"{mine} in the bar", mine),
        (f"{theirs} {'beat' if theirs == 1 else 'beats'}", theirs),
    )
    notes = tuple((name, (Fraction(theirs, count),) * count) for name, count in lines)
    return PlainBeat(f"{mine}:{theirs}", _in_quarters(theirs), notes)


def _in_quarters(beats: int) -> str:
    """A meter of so many quarters, each a beat: 6/4 would be felt in two."""
    is_compound = beats % 3 == 0 and beats > 3
    return f"{'+'.join(['3'] * (beats // 3)) if is_compound else beats}/4"


def passage_of_beat(beat: PlainBeat) -> tuple[OpenScore, Passage]:
    """Its bar as an open score, and that bar as a passage."""
    lengths = [length for _, notes in beat.lines for length in notes]
    ticks = lcm(*(length.denominator for length in lengths))
    parts = tuple(
        Part(f"P{number}", name, (_bar(beat.meter, notes, ticks),))
        for number, (name, notes) in enumerate(beat.lines, 1)
    )
    score = Score(beat.text, "", ticks, parts)
    open_score = laid_with_choices(Opened(score, f"beat {beat.text}", Path()), Choices("P1"))
    return open_score, passage(open_score.clock, 0, 1, 1)


def _bar(meter: str, notes: Sequence[Fraction], ticks: int) -> PartBar:
    ends = [int(end * ticks) for end in accumulate(notes, initial=Fraction(0))]
    written = tuple(Note(at, end - at, "x") for at, end in pairwise(ends))
    return PartBar("1", meter, ends[-1], written)


def layers_of_beat(open_score: OpenScore) -> tuple[AnyLayer, ...]:
    """What sounds unless something else is asked: the beat, or both sides of a ratio."""
    parts = open_score.score.parts
    if open_score.conflicts:
        return (Layer.MINE, Layer.THEIRS)
    if len(parts) > 1:  # 4:2 fits: no conflict, both are heard as they are written
        return (Layer.RHYTHM, PartRhythm(1, parts[1].name))
    return (Layer.BEAT,)


class BeatDrill(Drill):
    """A beat that goes round. Close it."""

    @property
    def played(self) -> float:
        """Seconds played since the last entry."""
        return sum(one.seconds for one in self.tally.stretches(self.passes_behind))

    @property
    def is_worth_logging(self) -> bool:
        """Whether it was played for a minute."""
        return self.played >= _SHORTEST

    @property
    def tempo_source(self) -> TempoSource | None:
        """None: no page says a tempo."""
        return None

    def request(self, setting: Setting) -> None:
        """As in a drill; but a ladder climbs by itself, because nobody says how it went."""
        super().request(climbing_alone(setting))

    def entry(self, folders: Folders, what: Activity) -> LogEntry:
        """Note the minutes; on disk when this returns. Counts from nothing afterwards."""
        note = f"beat {self.open_score.score.title}"
        entry = add_entry(folders, LogEntry(what=what, seconds=self.played, note=note))
        self.forget_what_was_played()
        return entry

    @property
    def unrated(self) -> tuple[Stretch, ...]:
        """Nothing: there is no passage that could be rated."""
        return ()

    @property
    def has_gone_through(self) -> bool:
        """Never: nobody is asked how a beat went."""
        return False

    def so_far(self) -> tuple[Attempt, ...]:
        """Nothing, for the same reason."""
        return ()


@dataclass(frozen=True, slots=True)
class BeatWords:
    """How a beat is asked for, in a player's words; empty is as usual."""

    tempo: str
    layers: str = ""
    silences: str = ""
    drone: str = ""
    count_in: int = 0
    """Bars."""


def setting_of_beat(beat: PlainBeat, words: BeatWords) -> Setting:
    """What the words mean for a beat. Raises RequestError for what cannot be meant."""
    open_score, bar = passage_of_beat(beat)
    setting = Setting(Fixed(Fraction(60)), layers_of_beat(open_score), words.count_in)
    setting = setting_changes.with_plan(setting, words.tempo)
    if words.layers:
        setting = setting_changes.with_layers_named(setting, open_score, bar, words.layers)
    if words.silences:
        setting = setting_changes.with_silences(setting, words.silences)
    if words.drone:
        setting = setting_changes.with_accompaniment(
            setting, open_score, bar, f"drone {words.drone}"
        )
    return climbing_alone(setting)


def climbing_alone(setting: Setting) -> Setting:
    """With a ladder that climbs by itself, because nobody says how it went."""
    if setting.ladder is None:
        return setting
    return replace(setting, tempo=setting.ladder, ladder=None)


@dataclass(frozen=True, slots=True)
class BeatAsked:
    """A beat that the app begins with."""

    beat: PlainBeat
    setting: Setting
    what: Activity | None = None
    """As what its minutes are logged; None asks."""


# The beat of the last time, and a tempo that is tapped.


class LastBeat(Struct, frozen=True):
    """What was beaten last."""

    text: str = USUAL
    tempo: str = "60"
    """In words."""


def last_beat(folders: Folders) -> LastBeat:
    """The usual one if none was kept, or what was kept means nothing."""
    kept = kept_json(_place(folders), LastBeat) or LastBeat()
    try:
        setting_of_beat(plain_beat(kept.text), BeatWords(kept.tempo))
    except RequestError:
        return LastBeat()
    return kept


def beat_asked(folders: Folders) -> BeatAsked:
    """The beat of the last time, ready to be opened."""
    last = last_beat(folders)
    beat = plain_beat(last.text)
    return BeatAsked(beat, setting_of_beat(beat, BeatWords(last.tempo)))


def keep_beat(folders: Folders, drill: BeatDrill) -> None:
    """For the next time. Raises CompanionError if it cannot be written."""
    tempo = tempo_in_words(drill.setting.tempo)
    keep_json(_place(folders), LastBeat(drill.open_score.score.title, tempo))


def _place(folders: Folders) -> Path:
    return folders.data / "beat.json"


_TAPS = 8
"""So many of the last taps make a tempo."""
_TOO_LONG = 6.0
"""Seconds after which a tap begins anew: the slowest tempo's beat."""


def tapped_bpm(moments: Sequence[float]) -> Fraction | None:
    """Beats a minute of the last taps, in seconds; None as long as there are not two."""
    last = list(moments[-_TAPS:])
    for at in range(len(last) - 1, 0, -1):
        if last[at] - last[at - 1] > _TOO_LONG:
            last = last[at:]
            break
    if len(last) < 2 or last[-1] == last[0]:
        return None
    return nearest_tempo(Fraction(round(60 * (len(last) - 1) / (last[-1] - last[0]))))


def open_beat(open_score: OpenScore, bar: Passage, folders: Folders, setting: Setting) -> BeatDrill:
    """A beat with whichever player there is, set so. May be called in any thread."""
    choice = sound_choice(folders)
    player, notice = player_for(choice)
    drill = BeatDrill(open_score, bar, folders, player, notice=notice)
    drill.drum_on(choice)
    drill.request(setting)
    return drill
