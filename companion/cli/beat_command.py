"""`companion beat 3:2 --tempo 60`: a click without a score, in the app or as a file."""

from __future__ import annotations

import argparse
from fractions import Fraction

from companion.cli.open_command import ask_no_color, run_app
from companion.cli.shared_options import folders_of, whole
from companion.click.plan.tempo_plan import Fixed
from companion.click.words.layer_words import NO_SILENCES
from companion.files.score_paths import as_path
from companion.practice.entry import Activity, activity_named
from companion.session.plain_beat import (
    BeatAsked,
    BeatWords,
    PlainBeat,
    last_beat,
    passage_of_beat,
    plain_beat,
    setting_of_beat,
)
from companion.session.settings import Setting

_MINUTES = 2
"""Length of a file at one tempo if nothing else is said."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The beat, the tempo, what sounds, and the log."""
    parser.add_argument(
        "beat",
        metavar="BEAT",
        nargs="?",
        help="a meter (6/8), groups (3+2+2/8) or a ratio (3:2, three over two beats); "
        "if left out, as last time",
    )
    parser.add_argument(
        "--tempo",
        nargs="+",
        default=[],
        metavar="PLAN",
        help="in felt beats a minute: 60 · 60 to 90 by 4, 8 times each (bars) · "
        "60 to 90 over 16 times · 60 and 90, twice each; if left out, as last time",
    )
    _ask_sound(parser)
    parser.add_argument(
        "--log",
        metavar="WHAT",
        help=f"log the minutes when you leave, as: {', '.join(Activity)}; without it you are asked",
    )
    parser.add_argument("-o", "--out", metavar="OUT", help="write OUT.wav, OUT.flac or OUT.mid")
    parser.add_argument(
        "--repeat",
        type=whole,
        metavar="N",
        help=f"with -o: bars; default: what the plan takes, or {_MINUTES} minutes of one tempo",
    )
    ask_no_color(parser)


def _ask_sound(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--layers", default="", metavar="LIST", help="beat, division, mine, theirs, resultant …"
    )
    parser.add_argument(
        "--silence",
        nargs="+",
        default=[],
        metavar="HOW",
        help="every 4 (bars or beats) · growing to 4 · random 0.3",
    )
    parser.add_argument("--drone", default="", metavar="NOTE", help="a held note, such as A3")
    parser.add_argument(
        "--count-in", type=whole, default=0, metavar="N", help="bars counted in (0)"
    )


def run(args: argparse.Namespace) -> int:
    """Play it in the app, or write it."""
    folders = folders_of(args)
    last = last_beat(folders)
    beat = plain_beat(args.beat or last.text)
    words = BeatWords(
        tempo=" ".join(args.tempo) or last.tempo,
        layers=args.layers,
        silences=" ".join(args.silence) or NO_SILENCES,
        drone=args.drone,
        count_in=args.count_in,
    )
    setting = setting_of_beat(beat, words)
    if args.out:
        return _write(args, beat, setting)
    what = activity_named(args.log) if args.log else None
    return run_app(args, None, BeatAsked(beat, setting, what))


def _write(args: argparse.Namespace, beat: PlainBeat, setting: Setting) -> int:
    from companion.session.click_file import write_click
    from companion.session.click_order import ClickOrder
    from companion.wording.click_sentences import beat_told

    open_score, bar = passage_of_beat(beat)
    order = ClickOrder(
        part="",
        bars="1",
        tempo=setting.tempo,
        layers=tuple(layer.value for layer in setting.layers),
        silences=setting.silences,
        count_in=setting.count_in,
        repeat=args.repeat or _bars(setting, (bar.end - bar.start) / bar.beat_on_clock),
    )
    click = write_click(open_score, order, as_path(args.out), accompaniment=setting.accompaniment)
    print(beat_told(beat.text, click))
    return 0


def _bars(setting: Setting, length: Fraction) -> int | None:
    """Bars that fill the usual length at one tempo; None leaves it to the plan. `length` is a
    bar's, in felt beats."""
    if not isinstance(setting.tempo, Fixed):
        return None
    return max(1, round(_MINUTES * setting.tempo.bpm / length))
