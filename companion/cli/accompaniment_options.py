"""Arguments about who plays along, shared by the commands that make sound."""

from __future__ import annotations

import argparse

from companion.click.plan.timbres import ToneName
from companion.click.synth.tuning import HIGHEST_A, LOWEST_A, A, parse_a, parse_note
from companion.errors import RequestError
from companion.files.score_paths import as_path
from companion.score.model import Score
from companion.session.accompaniment import ALL, Accompaniment, checked_font, parts_named


def ask_others(parser: argparse._ActionsContainer) -> None:
    """[--with PARTS] [--tone TONE] [--font FILE] [--tuning A] [--drone NOTE]."""
    parser.add_argument(
        "--with",
        dest="accompaniment",
        metavar="PARTS",
        help=f"parts that play along, with commas (cello,viola), or {ALL} but mine",
    )
    parser.add_argument(
        "--tone",
        choices=[str(tone) for tone in ToneName],
        default=str(ToneName.BOWED),
        help=f"how they sound; unless said: {ToneName.BOWED}",
    )
    parser.add_argument(
        "--font", metavar="FILE", help="a SoundFont (.sf2) of yours that plays them instead"
    )
    parser.add_argument(
        "--tuning",
        metavar="A",
        default=f"{A:g}",
        help=f"hertz of the A above middle C, {LOWEST_A:g} to {HIGHEST_A:g} ({A:g})",
    )
    parser.add_argument(
        "--drone", metavar="NOTE", help="a note held all the while, such as A3 or Bb2"
    )


def accompaniment_of(args: argparse.Namespace, score: Score, mine: int) -> Accompaniment:
    """Who plays along by this command line. Raises RequestError for what cannot be meant."""
    parts = () if args.accompaniment is None else parts_named(score, mine, args.accompaniment)
    a = parse_a(args.tuning)
    drone = None if args.drone is None else parse_note(args.drone)
    tone = ToneName(args.tone)
    font = None if args.font is None else checked_font(as_path(args.font), a)
    is_particular = tone is not ToneName.BOWED or a != A or font is not None
    if not parts and drone is None and is_particular:
        raise RequestError(
            "nobody plays along who could sound like that", next="Say who with --with or --drone."
        )
    return Accompaniment(parts, tone, a, drone, font)
