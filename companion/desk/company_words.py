"""The words in which company is asked for, as one would tell colleagues.

all                     everybody but me
cello, viola            these two
cello, plucked, A=415   one part, how it sounds, and the tuning
all, font ~/quartet.sf2 through a SoundFont of the player's
drone A3                a note held all the while
nobody
"""

from __future__ import annotations

from dataclasses import replace

from companion.click.timbres import ToneName
from companion.click.tuning import A, note_told, parse_a, parse_note
from companion.desk.finding import as_path
from companion.desk.play_along import ALL, Company, checked_font, parts_named
from companion.errors import RequestError
from companion.score.model import Score

NOBODY = "nobody"
_DRONE = "drone "
_FONT = "font "


def parse_company(score: Score, mine: int, text: str) -> Company:
    """Read who plays along. Raises RequestError for a word that means nothing."""
    company = Company()
    parts: set[int] = set()
    for word in (piece.strip() for piece in text.split(",")):
        sounding = _sounding(company, word)
        if sounding is not None:
            company = sounding
        elif word.casefold() not in {NOBODY, ""}:
            parts |= set(parts_named(score, mine, word))
    company = replace(company, parts=tuple(sorted(parts)))
    if company.font is not None:
        checked_font(company.font, company.a)
    if not company.parts and company.drone is None and text.strip().casefold() not in {NOBODY, ""}:
        raise RequestError(
            f"“{text}” names nobody who plays along", next=f"Name a part, say, or write {ALL}."
        )
    return company


def _sounding(company: Company, word: str) -> Company | None:
    """The company after a word about how it sounds; None for any other word."""
    small = word.casefold()
    if small in set(ToneName):
        return replace(company, tone=ToneName(small))
    if small.startswith("a") and small[1:].lstrip(" =")[:1].isdigit():
        return replace(company, a=parse_a(word))
    if small.startswith(_FONT):
        return replace(company, font=as_path(word[len(_FONT) :].strip()))
    if small.startswith(_DRONE):
        return replace(company, drone=parse_note(word[len(_DRONE) :]))
    return None


def company_in_words(company: Company, score: Score, mine: int) -> str:
    """The same words back: `Violin II, Cello, plucked, A=415, drone A3`."""
    if not company.parts and company.drone is None:
        return NOBODY
    everybody = tuple(part for part in range(len(score.parts)) if part != mine)
    if company.parts == everybody and len(everybody) > 1:
        words = [ALL]
    else:
        words = [score.parts[part].name for part in company.parts]
    if company.tone is not ToneName.BOWED:
        words.append(company.tone)
    if company.a != A:
        words.append(f"A={company.a:g}")
    if company.font is not None:
        words.append(f"{_FONT}{company.font}")
    if company.drone is not None:
        words.append(f"{_DRONE}{note_told(company.drone)}")
    return ", ".join(words)
