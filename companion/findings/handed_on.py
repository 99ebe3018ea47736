"""Figures that pass from part to part: who begins, who is next, and from whom to take it.

Four ways of passing are told apart, because a player waits for something different in each:

- `cascade`: the next part takes over within a beat of where the last one leaves off, and
  the last one really leaves (it strikes nothing until the other is through);
- `imitation`: the next enters while the last one still has the figure, or goes on playing;
- `canon`: an imitation of at least twelve notes and two bars that lasts twice as long as the
  distance, so that both have the same line at once for as long as they were apart;
- `taken up`: the next has the line after the last one has been done with it for a while.

A figure is what `imitation.py` finds. One shorter than six notes must reach a third part, and
entries are whole, half or third beats apart: a figure met on another sixteenth is chance.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from companion.findings.imitation import Following, followings
from companion.score.texture import BarSpan, Texture

_LONG = 12
"""Notes of the shortest canon."""
THEME = 8
"""Notes of the shortest line that is taken up more than a bar later."""
SHORT = 6
"""Notes below which two parts are not enough."""


@dataclass(frozen=True, slots=True)
class Statement:
    """A part, or several together, coming in with the figure."""

    parts: tuple[str, ...]
    at: int
    bar: int
    end: int
    """Grain at which the last note they share with the cue stops."""
    cue: tuple[str, ...]
    """Ids of the parts that had it before and give the cue; empty for the first entry."""
    after: Fraction
    """Beats, counted in the entering part's meter, since the cue's own entry; 0 for the first."""
    semitones: int | None
    """How much higher than the cue; None if it is answered in the key, not exactly."""


@dataclass(frozen=True, slots=True)
class HandedOn:
    """A figure on its way through the parts."""

    kind: str
    """`cascade`, `imitation`, `canon` or `taken up`."""
    notes: int
    entries: tuple[Statement, ...]
    """In order of time, at least two."""
    first: int
    last: int

    @property
    def parts(self) -> tuple[str, ...]:
        """Ids of everybody who has it, in order of their first entry."""
        return tuple(dict.fromkeys(part for entry in self.entries for part in entry.parts))


@dataclass(slots=True)
class _Chain:
    """A figure while its entries are gathered."""

    family: str
    """`imitation` for a cascade too: the same figure may pass in both ways."""
    kinds: list[str]
    notes: int
    entries: list[Statement]
    last: int


def handed_on(texture: Texture) -> tuple[HandedOn, ...]:
    """Every figure that passes from part to part, in order of time."""
    chains: list[_Chain] = []
    for found in followings(texture):
        kind, beats = _kind(texture, found)
        if kind:
            _add(chains, found, kind, beats)
    passed = [_handed(chain) for chain in chains if _is_enough(chain)]
    return tuple(sorted(passed, key=lambda one: (one.entries[0].at, one.first, one.last)))


def _is_enough(chain: _Chain) -> bool:
    return chain.notes >= SHORT or len(chain.entries) > 2


def _handed(chain: _Chain) -> HandedOn:
    kind = "imitation" if "imitation" in chain.kinds else chain.kinds[0]
    entries = tuple(chain.entries)
    return HandedOn(kind, chain.notes, entries, entries[0].bar, chain.last)


def _kind(texture: Texture, found: Following) -> tuple[str, Fraction]:
    """How it passes (empty if it is too far off to matter), and the beats between entries."""
    bar = texture.bars[found.followed[0].bar - 1]
    if texture.bars[found.led[0].bar - 1].movement != bar.movement:
        return "", Fraction(0)
    full = bar.full
    beat = _beat(texture, found.follower, bar)
    apart = found.delay / beat
    left = found.led[-1].end + beat
    notes = len(found.led)
    if (2 * apart).denominator > 1 and (3 * apart).denominator > 1:
        return "", apart
    if 2 * found.delay <= found.span and notes >= _LONG and found.span >= 2 * full:
        return "canon", apart
    if found.delay < found.span - beat / 2:
        return "imitation", apart
    if found.followed[0].at <= left:
        leaves = found.goes_on is None or found.goes_on >= found.followed[-1].at
        return ("cascade" if leaves else "imitation"), apart
    if found.delay <= found.span + full and notes >= SHORT:
        return "taken up", apart
    far = max(min(8 * full, 4 * found.span), 2 * found.span)
    is_theme = notes >= THEME and full <= found.span and found.delay <= far
    return ("taken up" if is_theme else ""), apart


def _beat(texture: Texture, part: str, bar: BarSpan) -> Fraction:
    """Grains of the part's beat; of a bar if it is unmeasured."""
    meter = texture.of(part).meters[bar.number - 1]
    full = Fraction(bar.full)
    return full * meter.beat / meter.length if meter else full


def _add(chains: list[_Chain], found: Following, kind: str, beats: Fraction) -> None:
    """Put an entry where its figure has got to, or begin a new chain with it."""
    notes, first, last = len(found.led), found.led[0], found.followed[-1]
    entry = Statement(
        (found.follower,),
        found.followed[0].at,
        found.followed[0].bar,
        last.end,
        (found.leader,),
        beats,
        found.semitones,
    )
    family = "imitation" if kind == "cascade" else kind
    chain = next(_hosts(chains, found, family), None)
    if chain is None:
        leader = Statement(
            (found.leader,), first.at, first.bar, found.led[-1].end, (), Fraction(0), 0
        )
        chain = _Chain(family, [], notes, [leader], last.bar)
        chains.append(chain)
    before = chain.entries[-1]
    if before.at == entry.at:
        chain.entries[-1] = _joined(before, entry)
    else:
        chain.entries.append(entry)
    chain.kinds.append(kind)
    chain.notes = min(chain.notes, notes)
    chain.last = max(chain.last, last.bar)


def _joined(one: Statement, other: Statement) -> Statement:
    """Two parts coming in together."""
    parts = tuple(dict.fromkeys(one.parts + other.parts))
    cue = tuple(dict.fromkeys(one.cue + other.cue))
    semitones = one.semitones if one.semitones == other.semitones else None
    return Statement(parts, one.at, one.bar, max(one.end, other.end), cue, one.after, semitones)


def _hosts(chains: Sequence[_Chain], found: Following, family: str) -> Iterator[_Chain]:
    """Chains, latest first, in which the leader has just had the figure at about this length."""
    notes = len(found.led)
    for chain in reversed(chains[-12:]):
        alike = chain.family == family and min(notes, chain.notes) * 2 >= max(notes, chain.notes)
        if alike and any(
            found.leader in entry.parts and entry.at == found.led[0].at
            for entry in chain.entries[-3:]
        ):
            yield chain
