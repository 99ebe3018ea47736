"""The words in which company is asked for, as one would tell colleagues.

all                     everybody but me
cello, viola            these two
cello, plucked, A=415   one part, how it sounds, and the tuning
drone A3                a note held all the while
nobody
"""

from __future__ import annotations

from dataclasses import replace

from companion.click.timbres import ToneName
from companion.click.tuning import A, note_told, parse_a, parse_note
from companion.desk.play_along import ALL, Company, parts_named
from companion.errors import RequestError
from companion.score.model import Score

NOBODY = "nobody"
_DRONE = "drone "


def parse_company(score: Score, mine: int, text: str) -> Company:
    """Read who plays along. Raises RequestError for a word that means nothing."""
    company = Company()
    parts: set[int] = set()
    for word in (piece.strip() for piece in text.split(",")):
        small = word.casefold()
        if small in set(ToneName):
            company = replace(company, tone=ToneName(small))
        elif small.startswith("a") and small[1:].lstrip(" =")[:1].isdigit():
            company = replace(company, a=parse_a(word))
        elif small.startswith(_DRONE):
            company = replace(company, drone=parse_note(word[len(_DRONE) :]))
        elif small not in {NOBODY, ""}:
            parts |= set(parts_named(score, mine, word))
    company = replace(company, parts=tuple(sorted(parts)))
    if not company.parts and company.drone is None and text.strip().casefold() not in {NOBODY, ""}:
        raise RequestError(
            f"“{text}” names nobody who plays along", next=f"Name a part, say, or write {ALL}."
        )
    return company


def company_in_words(company: Company, score: Score, mine: int) -> str:
    """The same words back: `Violin II, Cello, plucked, A=415, drone A3`."""
    everybody = tuple(part for part in range(len(score.parts)) if part != mine)
    if company.parts == everybody and len(everybody) > 1:
        words = [ALL]
    else:
        words = [score.parts[part].name for part in company.parts]
    if company.tone is not ToneName.BOWED:
        words.append(company.tone)
    if company.a != A:
        words.append(f"A={company.a:g}")
    if company.drone is not None:
        words.append(f"{_DRONE}{note_told(company.drone)}")
    return ", ".join(words) or NOBODY
