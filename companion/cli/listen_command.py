"""`companion listen TAKE SCORE --part P --bars A-B --tempo PLAN`: a recording against the page."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

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

if TYPE_CHECKING:
    from companion.session.click_order import ClickOrder

EPILOG = (
    "The take is read and left as it is; nothing is sent anywhere. If the click leaked from "
    "headphones into the microphone, name what sounded with --click, and it is taken out."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The take, the passage, the tempo, what sounded meanwhile."""
    parser.add_argument("take", metavar="TAKE", help="a recording: WAV or FLAC")
    ask_score(parser)
    ask_part(parser)
    parser.add_argument(
        "--bars",
        required=True,
        metavar="A-B",
        help=f"the passage: {BARS_HELP}",
    )
    parser.add_argument(
        "--tempo",
        required=True,
        nargs="+",
        metavar="PLAN",
        help="the tempo it was played at, in felt beats a minute of that part, or a plan as for "
        "companion click",
    )
    _ask_click(parser)
    parser.add_argument("--numbers", action="store_true", help="print the numbers as well")
    ask_unfolded(parser)
    ask_json(parser)
    parser.epilog = EPILOG


def _ask_click(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--click",
        metavar="LAYERS",
        help="what sounded in the headphones, with commas, as for companion click --layers",
    )
    parser.add_argument(
        "--silence",
        action="append",
        nargs="+",
        default=[],
        metavar="HOW",
        help="where that click was silent, as for companion click",
    )
    parser.add_argument(
        "--count-in", type=whole, default=0, metavar="N", help="bars that were counted in"
    )
    parser.add_argument(
        "--repeat",
        type=whole,
        metavar="N",
        help="times through; default: as many as the plan takes",
    )


def run(args: argparse.Namespace) -> int:
    """Hear it, and say how it went."""
    from companion.files.score_paths import as_path
    from companion.session.click_file import plan_click
    from companion.session.listening import judge_take
    from companion.wording.judgement_sentences import (
        TUNING_IS_NOT_JUDGED,
        judgement_record,
        judgement_told,
    )
    from companion.wording.score_sentences import bar_span_told

    take = as_path(args.take)
    open_score = open_score_of(args)
    click = plan_click(open_score, _order(args))
    judged = judge_take(take, click.passage, click.plan, is_click_heard=args.click is not None)
    if args.json:
        print_json(judgement_record(judged, open_score.clock))
        return 0

    def name(first: int, last: int) -> str:
        return bar_span_told(open_score, first, last)

    print("\n".join(judgement_told(judged, name, with_numbers=args.numbers)))
    if not args.numbers:
        print(TUNING_IS_NOT_JUDGED)
    return 0


def _order(args: argparse.Namespace) -> ClickOrder:
    from companion.click.plan.layers import DEFAULT
    from companion.click.words.layer_words import parse_layers, parse_silence
    from companion.click.words.tempo_words import parse_tempo
    from companion.session.click_order import ClickOrder

    return ClickOrder(
        part=args.part or "",
        bars=args.bars,
        tempo=parse_tempo(" ".join(args.tempo)),
        layers=DEFAULT if args.click is None else parse_layers(args.click),
        silences=tuple(parse_silence(" ".join(words)) for words in args.silence),
        count_in=args.count_in,
        repeat=args.repeat,
    )
