"""`companion click SCORE --part P --bars A-B --tempo PLAN -o OUT`: a click as a file."""

from __future__ import annotations

import argparse

from companion.cli.shared_options import (
    BARS_HELP,
    ask_json,
    ask_part,
    ask_score,
    ask_unfolded,
    open_score_of,
    print_json,
    whole,
)
from companion.click.plan.layers import DEFAULT, Layer
from companion.click.plan.percussion import PERCUSSION
from companion.click.plan.tempo_plan import Marked, TempoPlan
from companion.click.plan.timbres import ToneName
from companion.click.synth.tuning import HIGHEST_A, LOWEST_A, A, parse_a, parse_note
from companion.click.words.layer_words import (
    BOTH,
    parse_fade,
    parse_layers,
    parse_level,
    parse_place,
    parse_settings,
    parse_silence,
)
from companion.click.words.tempo_words import marked_as, parse_tempo
from companion.errors import RequestError
from companion.files.score_paths import as_path
from companion.score.model import Score
from companion.session.accompaniment import ALL, Accompaniment, checked_font, parts_named
from companion.session.click_file import ENDINGS, write_click
from companion.session.click_order import ClickOrder
from companion.session.open_score import part_meant
from companion.wording.click_sentences import click_record, click_told


def arguments(parser: argparse.ArgumentParser) -> None:
    """The passage, the tempo, what sounds, and where to."""
    ask_score(parser)
    ask_part(parser)
    parser.add_argument(
        "--bars",
        required=True,
        metavar="A-B",
        help=f"the passage: {BARS_HELP}",
    )
    parser.add_argument(
        "-o", "--out", required=True, metavar="OUT", help="OUT.wav, OUT.flac, OUT.mid, or a folder"
    )
    _ask_tempo(parser)
    _ask_layers(parser)
    _ask_silences(parser)
    _ask_others(parser.add_argument_group("the others"))
    _ask_form(parser)
    ask_unfolded(parser)
    ask_json(parser)
    parser.epilog = "Start with the volume low, above all with headphones."


def _ask_tempo(parser: argparse.ArgumentParser) -> None:
    tempo = parser.add_argument_group("tempo, in felt beats a minute of that part")
    tempo.add_argument(
        "--tempo",
        required=True,
        nargs="+",
        metavar="PLAN",
        help="60 · 60 to 90 by 4, twice each · 60 to 90 over 8 times (no steps) · "
        "60 and 90, twice each (by turns) · as marked · 80%% (of what is marked)",
    )
    tempo.add_argument(
        "--rit",
        metavar="SHARE",
        help="with “as marked”: the share of the tempo a rit. reaches, such as 0.75 (an accel. the "
        "opposite); default: no change",
    )
    tempo.add_argument(
        "--fermata",
        metavar="BEATS",
        help="with “as marked”: extra beats for a fermata; default: none",
    )
    tempo.add_argument("--count-in", type=whole, default=0, metavar="N", help="bars counted in")
    tempo.add_argument(
        "--counted-by",
        default="mine",
        metavar="WHO",
        help="whose meter is counted in: mine, theirs, or a part",
    )
    tempo.add_argument(
        "--repeat",
        type=whole,
        metavar="N",
        help="times through; default: as many as the plan takes",
    )


def _ask_layers(parser: argparse.ArgumentParser) -> None:
    layers = parser.add_argument_group("what sounds")
    layers.add_argument(
        "--layers",
        default=",".join(DEFAULT),
        metavar="LIST",
        help=f"with commas: {', '.join(Layer)}, rhythm:PART ({BOTH} = mine,theirs); "
        f"default: {','.join(DEFAULT)}",
    )
    for what, example in (
        ("level", "theirs=0.5: a share of its usual level, 0 to 2"),
        ("place", "mine=left: left, centre, right, or -1 to 1"),
        ("voice", f"beat=cup: one of {', '.join(PERCUSSION)}"),
    ):
        layers.add_argument(
            f"--{what}", action="append", default=[], metavar="LAYER=X", help=example
        )
    layers.add_argument(
        "--fade",
        action="append",
        nargs="+",
        default=[],
        metavar="HOW",
        help="theirs out over 4 · mine in over 6: fade a layer over that many times through",
    )


def _ask_silences(parser: argparse.ArgumentParser) -> None:
    silences = parser.add_argument_group("silences")
    silences.add_argument(
        "--silence",
        action="append",
        nargs="+",
        default=[],
        metavar="HOW",
        help="every 4 (bars, beats or times) · growing (to 4 bars) · random 0.3 (bars or beats) "
        "· mine only (in conflicts only mine sounds) · theirs only; bars are counted through "
        "all repeats",
    )
    silences.add_argument(
        "--seed",
        type=whole,
        default=0,
        metavar="N",
        help="a number for another set of random silences",
    )


def _ask_form(parser: argparse.ArgumentParser) -> None:
    form = parser.add_argument_group("the file")
    form.add_argument(
        "--rate", type=whole, default=48000, metavar="HZ", help="samples a second (48000)"
    )
    form.add_argument("--bits", type=whole, default=16, metavar="N", help="16 or 24 (16)")
    form.add_argument(
        "--format",
        default="wav",
        choices=[ending[1:] for ending in ENDINGS],
        help="what to write into a folder (wav)",
    )


def run(args: argparse.Namespace) -> int:
    """Write the click and tell what it is."""
    order = _order(args)
    out = as_path(args.out)
    open_score = open_score_of(args)
    accompaniment = _accompaniment(args, open_score.score, part_meant(open_score, args.part))
    click = write_click(open_score, order, out, f".{args.format}", accompaniment)
    if args.json:
        print_json(click_record(click))
    else:
        print(click_told(open_score, click))
    return 0


def _order(args: argparse.Namespace) -> ClickOrder:
    levels = parse_settings(args.level, "level")
    places = parse_settings(args.place, "place")
    return ClickOrder(
        part=args.part or "",
        bars=args.bars,
        tempo=_tempo(args),
        layers=parse_layers(args.layers),
        levels={word: parse_level(text) for word, text in levels.items()},
        places={word: parse_place(text) for word, text in places.items()},
        voices=parse_settings(args.voice, "voice"),
        silences=tuple(parse_silence(" ".join(words), args.seed) for words in args.silence),
        fades=tuple(parse_fade(" ".join(words)) for words in args.fade),
        count_in=args.count_in,
        counted_by=args.counted_by,
        repeat=args.repeat,
        rate=args.rate,
        bits=args.bits,
    )


def _tempo(args: argparse.Namespace) -> TempoPlan:
    tempo = parse_tempo(" ".join(args.tempo))
    if args.rit is None and args.fermata is None:
        return tempo
    if not isinstance(tempo, Marked):
        raise RequestError(
            "--rit and --fermata need the score's own tempos",
            next="Write --tempo as marked, or --tempo 80%.",
        )
    return marked_as(tempo, rit=args.rit, fermata=args.fermata)


# Who plays along, and how they sound.


def _ask_others(parser: argparse._ActionsContainer) -> None:
    """[--with PARTS] [--tone TONE] [--font FILE] [--tuning A] [--drone NOTE]."""
    parser.add_argument(
        "--with",
        dest="accompaniment",
        metavar="PARTS",
        help=f"parts that play along, with commas (cello,viola), or {ALL} others",
    )
    parser.add_argument(
        "--tone",
        choices=[str(tone) for tone in ToneName],
        default=str(ToneName.BOWED),
        help=f"how they sound; default: {ToneName.BOWED}",
    )
    parser.add_argument("--font", metavar="FILE", help="play them with this SoundFont (.sf2)")
    parser.add_argument(
        "--tuning",
        metavar="A",
        default=f"{A:g}",
        help=f"hertz of the A above middle C, {LOWEST_A:g} to {HIGHEST_A:g} ({A:g})",
    )
    parser.add_argument("--drone", metavar="NOTE", help="a held note, such as A3 or Bb2")


def _accompaniment(args: argparse.Namespace, score: Score, mine: int) -> Accompaniment:
    """Who plays along by this command line. Raises RequestError if options contradict."""
    parts = () if args.accompaniment is None else parts_named(score, mine, args.accompaniment)
    a = parse_a(args.tuning)
    drone = None if args.drone is None else parse_note(args.drone)
    tone = ToneName(args.tone)
    font = None if args.font is None else checked_font(as_path(args.font), a)
    is_particular = tone is not ToneName.BOWED or a != A or font is not None
    if not parts and drone is None and is_particular:
        raise RequestError(
            "--tone, --font and --tuning need someone who plays along",
            next="Add --with or --drone.",
        )
    return Accompaniment(parts, tone, a, drone, font)
