"""`companion click SCORE --part P --bars A-B --tempo BPM -o OUT`: a click as WAV or MIDI."""

from __future__ import annotations

import argparse
from pathlib import Path

from companion.cli.asking import ask_json, ask_score, ask_unfolded, print_json, stand_of
from companion.click.layers import BOTH, DEFAULT, Layer, parse_layers
from companion.click.plan import Plan
from companion.desk.finding import as_path
from companion.desk.make_click import Click, ClickOrder, write_click
from companion.desk.stand import Stand
from companion.desk.telling import span_told
from companion.rhythm.meter import note_name
from companion.rhythm.tempo import parse_bpm


def arguments(parser: argparse.ArgumentParser) -> None:
    """The passage, the tempo, what sounds, and where to."""
    ask_score(parser)
    parser.add_argument("--part", required=True, help="name, beginning of one, or number from 1")
    parser.add_argument(
        "--bars",
        required=True,
        metavar="A-B",
        help="ordinal positions (97-100), printed labels (II:225-230) or rehearsal marks (C-C+3)",
    )
    parser.add_argument(
        "--tempo", required=True, metavar="BPM", help="felt beats a minute of that part"
    )
    parser.add_argument("-o", "--out", required=True, metavar="OUT", help="OUT.wav or OUT.mid")
    parser.add_argument(
        "--layers",
        default=",".join(DEFAULT),
        metavar="LIST",
        help=f"what sounds, with commas: {', '.join(Layer)} ({BOTH} = mine,theirs); "
        f"as it is: {','.join(DEFAULT)}",
    )
    parser.add_argument("--count-in", type=int, default=0, metavar="N", help="bars counted in")
    parser.add_argument("--repeat", type=int, default=1, metavar="N", help="times through")
    parser.add_argument(
        "--rate", type=int, default=48000, metavar="HZ", help="samples a second of a WAV (48000)"
    )
    ask_unfolded(parser)
    ask_json(parser)
    parser.epilog = (
        "Start with the volume low, above all in headphones: no program knows how loud it is "
        "at your ear."
    )


def run(args: argparse.Namespace) -> int:
    """Write the click and tell what it is."""
    order = ClickOrder(
        part=args.part,
        bars=args.bars,
        bpm=parse_bpm(args.tempo),
        layers=parse_layers(args.layers),
        count_in=args.count_in,
        repeat=args.repeat,
        rate=args.rate,
    )
    out = as_path(args.out)
    stand = stand_of(args)
    click = write_click(stand, order, out)
    if args.json:
        print_json(_record(click, out))
    else:
        print(_told(stand, click, out))
    return 0


def _told(stand: Stand, click: Click, out: Path) -> str:
    planned, passage = click.plan, click.passage
    bars = span_told(stand, passage.first, passage.last)
    minutes, seconds = divmod(round(planned.seconds), 60)
    return (
        f"{out}: {passage.part_name}, {bars}, "
        f"{planned.tempo}, "
        f"{len(planned.strokes)} strokes, {minutes}:{seconds:02d}"
    )


def _record(click: Click, out: Path) -> dict[str, object]:
    planned: Plan = click.plan
    return {
        "file": str(out),
        "part": {"id": click.passage.part_id, "name": click.passage.part_name},
        "first": click.passage.first,
        "last": click.passage.last,
        "tempo": {"bpm": str(planned.tempo.bpm), "beat": note_name(planned.tempo.beat)},
        "seconds": str(planned.seconds),
        "strokes": [
            {
                "seconds": str(stroke.at * planned.seconds_per_unit),
                "layer": stroke.layer.value,
                "accent": stroke.is_accented,
                "bar": stroke.bar,
            }
            for stroke in planned.strokes
        ],
    }
