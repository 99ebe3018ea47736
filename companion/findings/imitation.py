"""Where one part has the figure another part had before it.

A figure is followed if the rhythm is the same and every interval goes the same way and
is the same within a tone, so that an answer in the key counts like an exact one. Figures
are looked up by their first steps, beginning where a figure can begin (after a rest or a
longer note); a line that merely runs on like another is not found at every note. Figures
upside down, in other note values, or with single notes an octave off are not looked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from companion.score.texture import PartStream, Sound, Texture

FARTHEST = 16
"""Most bars from one entry to the next."""
_PLACES_TRIED = 8
"""How many of the latest places with the same beginning are compared with a new one."""
_FEWEST_NOTES = 3
"""Notes of the shortest figure."""
TONE = 2
"""Semitones by which an interval may differ."""


@dataclass(frozen=True, slots=True)
class Following:
    """Notes of one part that repeat another part's."""

    leader: str
    follower: str
    led: tuple[Sound, ...]
    followed: tuple[Sound, ...]
    goes_on: int | None
    """Grain of the leader's first note after them; None if there is none."""

    @property
    def delay(self) -> int:
        """Grains from entry to entry."""
        return self.followed[0].at - self.led[0].at

    @property
    def span(self) -> int:
        """Grains from the first note of the figure to its last."""
        return self.led[-1].at - self.led[0].at

    @property
    def semitones(self) -> int | None:
        """How much higher it is, if by the same amount all along."""
        rises = {
            (high.pitch or 0) - (low.pitch or 0)
            for low, high in zip(self.led, self.followed, strict=True)
        }
        return rises.pop() if len(rises) == 1 else None


@dataclass(frozen=True, slots=True)
class MelodicLine:
    """A part's melody, and what leads from each note to the next."""

    part: str
    notes: tuple[Sound, ...]
    """The highest note of each strike; none without pitch."""
    gaps: tuple[int, ...]
    """Grains from each strike to the next."""
    steps: tuple[int, ...]
    """Semitones from each note to the next."""
    places: dict[int, int]
    """The index of the note struck at a grain."""

    def enters(self, index: int) -> bool:
        """Whether a note comes after a rest."""
        return index == 0 or self.notes[index - 1].end < self.notes[index].at


class LinePlace(NamedTuple):
    """A note of a line."""

    at: int
    line: int
    nth: int
    """Which of its notes, from 0."""


Runs = dict[tuple[int, int, int], tuple[int, int]]
"""For two lines and how many notes apart they are: the run (first and last note of the one)
that agrees with the other, as found last."""


def melodic_line(stream: PartStream) -> MelodicLine:
    """The melody of a part."""
    notes = tuple([note for note in stream.melody if note.pitch is not None])
    pitches = [note.pitch or 0 for note in notes]
    return MelodicLine(
        stream.part,
        notes,
        tuple([after.at - note.at for note, after in pairwise(notes)]),
        tuple([after - pitch for pitch, after in pairwise(pitches)]),
        {note.at: index for index, note in enumerate(notes)},
    )


def followings(texture: Texture) -> list[Following]:
    """Every figure that a part has after another, in order of the follower's entry.

    For each note at most one: the longest, and of equally long ones the nearest. A part that
    only repeats what it had itself in between follows nobody.
    """
    lines = [melodic_line(stream) for stream in texture.streams]
    # `judged`: pairs of places already found to be a figure or not, since many beginnings lead
    # back to the same first note. `longest`: for each first note of a follower (line, nth) the
    # leader's place, the follower's, and how many notes agree.
    known: Runs = {}
    judged: dict[tuple[LinePlace, LinePlace], bool] = {}
    longest: dict[tuple[int, int], tuple[LinePlace, LinePlace, int]] = {}
    for met in _beginnings(lines).values():
        for number, follower in enumerate(met):
            earlier = met[max(0, number - _PLACES_TRIED) : number]
            led, followed, count = _longest(lines, known, earlier, follower)
            if (led, followed) not in judged:
                judged[led, followed] = count >= _FEWEST_NOTES and is_figure(
                    lines, led, followed, count
                )
            if not judged[led, followed]:
                continue
            kept = longest.get(followed[1:])
            if kept is None or (count, led.at) > (kept[2], kept[0].at):
                longest[followed[1:]] = led, followed, count
    return [
        _following(lines, led, followed, count)
        for led, followed, count in sorted(longest.values(), key=lambda one: one[1])
    ]


def _following(
    lines: Sequence[MelodicLine], led: LinePlace, followed: LinePlace, count: int
) -> Following:
    leader, follower = lines[led.line], lines[followed.line]
    after = led.nth + count
    return Following(
        leader.part,
        follower.part,
        leader.notes[led.nth : after],
        follower.notes[followed.nth : followed.nth + count],
        leader.notes[after].at if after < len(leader.notes) else None,
    )


def _beginnings(lines: Sequence[MelodicLine]) -> dict[tuple[int, ...], list[LinePlace]]:
    """Places where a figure may begin, in order of time, by what its first steps look like."""
    met: dict[tuple[int, ...], list[LinePlace]] = {}
    for number, one in enumerate(lines):
        for index in range(len(one.steps) - 1):
            if one.enters(index) or one.gaps[index - 1] > one.gaps[index]:
                # Looked up by lengths and directions only: the intervals of an answer differ.
                until = index + (2 if is_isolated_motif(one, index) else 3)
                ways = [(step > 0) - (step < 0) for step in one.steps[index:until]]
                if any(ways) and until <= len(one.steps):
                    key = (*one.gaps[index:until], *ways)
                    met.setdefault(key, []).append(LinePlace(one.notes[index].at, number, index))
    for places in met.values():
        places.sort()
    return met


def is_isolated_motif(one: MelodicLine, index: int) -> bool:
    """Whether three notes of unequal lengths stand between rests: a figure by its rhythm."""
    last = index + 2
    return (
        last < len(one.notes)
        and one.enters(index)
        and one.gaps[index] != one.gaps[index + 1]
        and not (one.enters(index + 1) or one.enters(last))
        and (last + 1 == len(one.notes) or one.enters(last + 1))
    )


def _longest(
    lines: Sequence[MelodicLine], known: Runs, earlier: Sequence[LinePlace], follower: LinePlace
) -> tuple[LinePlace, LinePlace, int]:
    """What another part had before, from its first note on, and how many notes agree."""
    bar = lines[follower.line].notes[follower.nth].bar
    # `own` is how much the follower repeats of itself: only what goes beyond it is imitation.
    # `back` are notes that agree before the place met, so that the figure begins earlier.
    own, best = 0, (0, 0)
    leader = follower
    for place in reversed(earlier):
        if bar - lines[place.line].notes[place.nth].bar > FARTHEST:
            break
        if place.at < follower.at:
            back, count = _agreeing(lines, known, place, follower)
            if place.line == follower.line:
                own = max(own, count)
            elif count > max(own, best[1]):
                best, leader = (back, count), place
    back, count = best
    if not count:
        return follower, follower, 0
    return _earlier(lines, leader, back), _earlier(lines, follower, back), back + count


def _earlier(lines: Sequence[MelodicLine], place: LinePlace, back: int) -> LinePlace:
    nth = place.nth - back
    return LinePlace(lines[place.line].notes[nth].at, place.line, nth)


def _agreeing(
    lines: Sequence[MelodicLine], known: Runs, place: LinePlace, follower: LinePlace
) -> tuple[int, int]:
    """How many notes before the two, and from them on, have the same rhythm and intervals.

    A long canon has many beginnings in it; each is measured against the run found first.
    """
    one, other, apart = lines[place.line], lines[follower.line], follower.nth - place.nth
    first, last = known.get((place.line, follower.line, apart), (0, -1))
    if not first <= place.nth <= last:
        first = last = place.nth
        while _agree(one, other, first - 1, apart):
            first -= 1
        while _agree(one, other, last, apart):
            last += 1
        known[place.line, follower.line, apart] = first, last
    return place.nth - first, last - place.nth + 1


def _agree(one: MelodicLine, other: MelodicLine, nth: int, apart: int) -> bool:
    """Whether the steps from two notes have the same length and, within a tone, interval."""
    if not (0 <= nth < len(one.gaps) and 0 <= nth + apart < len(other.gaps)):
        return False
    step, answer = one.steps[nth], other.steps[nth + apart]
    same_way = step * answer > 0 or step == answer == 0
    return one.gaps[nth] == other.gaps[nth + apart] and same_way and abs(step - answer) <= TONE


def is_figure(
    lines: Sequence[MelodicLine], led: LinePlace, followed: LinePlace, count: int
) -> bool:
    """Whether so many notes say enough to be recognised when another part has them.

    No repeated notes, and not both parts together. A figure in even notes has at least five,
    half of the steps moving, and enters after a rest in both parts. Another has at least
    three moving steps and is long (eight notes), or enters after a rest, or has six notes
    and something to know it by: a rest before it at first, or three different lengths.
    Three notes are enough if they stand alone between rests.
    """
    leader, follower = lines[led.line], lines[followed.line]
    gaps = leader.gaps[led.nth : led.nth + count - 1]
    moving = sum(1 for step in leader.steps[led.nth : led.nth + count - 1] if step)
    pitches = {note.pitch for note in leader.notes[led.nth : led.nth + count]}
    if len(pitches) < 3 and count < 6:
        return False
    if _together(leader, follower, followed, count) or _together(follower, leader, led, count):
        return False
    enters, entered = follower.enters(followed.nth), leader.enters(led.nth)
    if count == 3:
        return is_isolated_motif(leader, led.nth) and is_isolated_motif(follower, followed.nth)
    if len(set(gaps)) == 1:
        return count >= 5 and enters and entered and 2 * moving >= count
    known = enters or count >= 8 or (count >= 6 and (entered or len(set(gaps)) >= 3))
    return moving >= 3 and known


def _together(one: MelodicLine, other: MelodicLine, place: LinePlace, count: int) -> bool:
    """Whether a part has the rhythm of the figure along with the other."""
    along = one.places.get(place.at)
    length = min(count - 1, 4)
    theirs = other.gaps[place.nth : place.nth + length]
    return along is not None and one.gaps[along : along + length] == theirs
