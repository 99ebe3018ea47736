"""The words in which a tempo plan is asked for, as a teacher would write them in a margin.

60                                  one tempo
60 to 90 by 4, twice each           a ladder
60 to 90 by 4, 3 times each, else back one
60 to 90 over 8 times               a ramp, without steps
60 and 90, twice each               two tempos by turns
as marked        80%                the score's own tempos, or a share of them
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from companion.click.plan.tempo_plan import (
    AfterFailing,
    Fixed,
    Ladder,
    Marked,
    Ramp,
    TempoPlan,
    Turns,
)
from companion.click.words.not_understood import refusal
from companion.errors import RequestError
from companion.rhythm.tempo import parse_bpm

_N = r"[0-9][0-9./,]*"
_WAY = re.compile(
    rf"(?P<start>{_N}) to (?P<goal>{_N})"
    rf"(?: (?:by (?P<step>{_N})|over (?P<over>[0-9]{{1,4}})(?: times)?))?"
)
_PAIR = re.compile(rf"(?P<first>{_N}) and (?P<second>{_N})")
_SHARE = re.compile(r"(?P<percent>[0-9]{1,4}(?:[.,][0-9]{1,3})?) ?%(?: of marked)?")
_EACH = re.compile(r" (?:(?P<word>once|twice)|(?P<count>[0-9]{1,3}) times) each$")
_ELSE = re.compile(r" else (?P<what>.+)$")
KNOWN = (
    *("to", "by", "over", "times", "each", "twice", "once", "and", "as", "marked", "of"),
    *("else", "back", "one", "from", "the", "start", "same"),
)
"""Every word there is."""
_LONGEST_NUMBER = 12
_MOST = 1_000_000
_WORDS = {"once": 1, "twice": 2}

_HOW = (
    "Write 60, or 60 to 90 by 4, twice each, or 60 to 90 over 8 times, or 60 and 90, "
    "or as marked, or 80%."
)


def parse_tempo(text: str) -> TempoPlan:
    """Read a tempo plan. Raises RequestError if the words mean none."""
    words = " ".join(text.casefold().replace(", ", " ").split())
    head, each, failing = _gathered(words, text)
    if way := _WAY.fullmatch(head):
        return _way(way, each, failing, text)
    if failing is not None:
        raise _unclear(text)
    if pair := _PAIR.fullmatch(head):
        times = 1 if each is None else each
        return Turns(parse_bpm(pair["first"]), parse_bpm(pair["second"]), times)
    if each is not None:
        raise _unclear(text)
    if head in {"as marked", "marked"}:
        return Marked()
    if share := _SHARE.fullmatch(head):
        return Marked(Fraction(share["percent"].replace(",", ".")) / 100)
    if " " in head:
        raise _unclear(text)
    return Fixed(parse_bpm(text))


def marked_as(marked: Marked, *, rit: str | None, fermata: str | None) -> Marked:
    """The score's tempos with a *rit.* drawn to a share (`0.75`, `3/4`, `75%`) and fermatas held
    so many beats longer. Raises RequestError if a text is not a number or out of range."""
    if rit is not None:
        refusal = RequestError(f"“{rit}” is not a share of the tempo", next="Write 0.75, say.")
        share = _number(rit.removesuffix("%"), refusal)
        marked = replace(marked, rit=share / 100 if rit.endswith("%") else share)
    if fermata is not None:
        refusal = RequestError(f"“{fermata}” is not a number of beats", next="Write 2, say.")
        marked = replace(marked, hold=_number(fermata, refusal))
    return marked


def _gathered(words: str, text: str) -> tuple[str, int | None, AfterFailing | None]:
    """The plan itself, times each, and what follows a failed attempt."""
    each: int | None = None
    failing: AfterFailing | None = None
    if found := _ELSE.search(words):
        failing, words = _failing(found["what"], text), words[: found.start()]
    if found := _EACH.search(words):
        each = _WORDS[found["word"]] if found["word"] else int(found["count"])
        words = words[: found.start()]
    return words, each, failing


def _way(
    way: re.Match[str], each: int | None, failing: AfterFailing | None, text: str
) -> TempoPlan:
    start, goal = parse_bpm(way["start"]), parse_bpm(way["goal"])
    if way["step"]:
        step = _number(way["step"], _unclear(text))
        times = 1 if each is None else each
        return Ladder(start, goal, step, times, failing or AfterFailing.SAME)
    if each is not None or failing is not None:
        raise _unclear(text)
    return Ramp(start, goal, int(way["over"]) if way["over"] else None)


def _failing(what: str, text: str) -> AfterFailing:
    wanted = what.removeprefix("the ")
    if wanted not in set(AfterFailing):
        raise RequestError(
            f"“{text}” does not say what follows a failed attempt",
            next=f"After “else” write one of: {', '.join(AfterFailing)}.",
        )
    return AfterFailing(wanted)


def _number(text: str, refusal: RequestError) -> Fraction:
    if len(text) > _LONGEST_NUMBER:
        raise refusal
    try:
        number = Fraction(text.replace(",", "."))
    except (ValueError, ZeroDivisionError):
        raise refusal from None
    if not number < _MOST:
        raise refusal
    return number


def _unclear(text: str) -> RequestError:
    return refusal(text, "a tempo plan", KNOWN, _HOW)


# The same words back.


def tempo_in_words(tempo: TempoPlan) -> str:
    """As a player would type it: `60 to 90 by 4, twice each, else back one`."""
    return _IN_WORDS[type(tempo)](tempo)


def _ladder(ladder: Ladder) -> str:
    else_ = (
        f", else {ladder.after_failing}" if ladder.after_failing is not AfterFailing.SAME else ""
    )
    way = f"{_n(ladder.start)} to {_n(ladder.goal)} by {_n(ladder.step)}"
    return f"{way}{_each(ladder.each)}{else_}"


def _ramp(ramp: Ramp) -> str:
    over = f" over {ramp.over} times" if ramp.over else ""
    return f"{_n(ramp.start)} to {_n(ramp.goal)}{over}"


def _marked(marked: Marked) -> str:
    if marked.share == 1:
        return "as marked"
    return f"{_n(marked.share * 100)}% of marked"


_IN_WORDS: dict[type, Callable[..., str]] = {
    Fixed: lambda fixed: _n(fixed.bpm),
    Ladder: _ladder,
    Ramp: _ramp,
    Turns: lambda turns: f"{_n(turns.first)} and {_n(turns.second)}{_each(turns.each)}",
    Marked: _marked,
}


def _n(number: Fraction) -> str:
    return f"{float(number):g}"


def _each(each: int) -> str:
    return {1: "", 2: ", twice each"}.get(each, f", {each} times each")
