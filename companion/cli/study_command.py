"""`companion study SCORE`: the score explained to one player, or to each."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import replace
from shlex import quote
from shutil import get_terminal_size
from textwrap import wrap

from companion.cli.shared_options import (
    BARS_HELP,
    ask_json,
    ask_part,
    ask_score,
    ask_unfolded,
    open_score_of,
    print_json,
)
from companion.publish.study_sheet import (
    Study,
    counted_alike,
    headed,
    left_told,
    lines_of,
    studies,
)
from companion.score.bar_numbers import find_bars, span_name
from companion.session.open_score import OpenScore, part_meant
from companion.wording.advice import HARDNESS_WORDS, RULE_OF_THUMB, Advice
from companion.wording.score_sentences import bar_span_told


def arguments(parser: argparse.ArgumentParser) -> None:
    """SCORE [--part P] [--bars A-B] [--all] [--numbers] [--markdown] [--json]."""
    ask_score(parser)
    ask_part(parser, "every part")
    parser.add_argument(
        "--bars", metavar="A-B", help=f"only these bars, with how to count each: {BARS_HELP}"
    )
    parser.add_argument(
        "--all", action="store_true", help="everything found, not only the essentials"
    )
    parser.add_argument(
        "--numbers", action="store_true", help="why a conflict is easy or hard, in numbers"
    )
    parser.add_argument("--markdown", action="store_true", help="print Markdown")
    ask_unfolded(parser)
    ask_json(parser)


def run(args: argparse.Namespace) -> int:
    """Print the study."""
    open_score = open_score_of(args)
    span = find_bars(open_score.clock, args.bars) if args.bars else None
    found = studies(open_score, _parts(open_score, args.part), span)
    if args.json:
        print_json(
            {
                "title": open_score.score.title,
                "studies": [_record(open_score, each) for each in found],
            }
        )
        return 0
    for number, each in enumerate(found):
        if number:
            print()
        for line in _page(open_score, each, args):
            print(line)
    return 0


def _parts(open_score: OpenScore, text: str | None) -> list[int]:
    if text or open_score.choices.part:
        return [part_meant(open_score, text)]
    return list(range(len(open_score.score.parts)))


def _page(open_score: OpenScore, of: Study, args: argparse.Namespace) -> Iterator[str]:
    head, item = ("# ", "- ") if args.markdown else ("", "  ")
    bars = (
        ""
        if of.last - of.first + 1 == len(open_score.clock.bars)
        else (f", {bar_span_told(open_score, of.first, of.last)}")
    )
    yield f"{head}{open_score.score.title}: {of.part_name}{bars}"
    chosen = of.everything if args.all else of.sheet
    yield from _sentences(open_score, chosen, args)
    if not chosen:
        yield f"{item}No conflicts here, and nothing returns."
    yield from _counts(open_score, of, head, item)
    if of.left and not args.all:
        told = left_told(of.left, lambda first, last: bar_span_told(open_score, first, last))
        asked = f"companion study {quote(args.score)} --part {quote(of.part_name)} --all"
        yield from ("", *wrap(told, get_terminal_size().columns), f"{item}{asked}")
    if any(advice.is_heuristic for advice in chosen):
        yield from ("", RULE_OF_THUMB)
    if any(advice.because for advice in chosen) and not args.numbers:
        yield from ("", HARDNESS_WORDS)


def _sentences(
    open_score: OpenScore, chosen: Sequence[Advice], args: argparse.Namespace
) -> Iterator[str]:
    for heading, about in headed(open_score, chosen):
        yield from ("", f"## {heading}", "") if args.markdown else ("", heading)
        for advice in about:
            reasons = f" ({'; '.join(advice.because)})" if advice.because and args.numbers else ""
            told = replace(advice, text=advice.text + reasons)
            if args.markdown:
                yield f"- {told.marked_text}"
            else:
                yield from lines_of(told, get_terminal_size().columns)


def _counts(open_score: OpenScore, of: Study, head: str, item: str) -> Iterator[str]:
    if of.counts:
        yield ""
        yield f"{head and '## '}Counting aloud"
        if head:
            yield ""
    for count, last in counted_alike(of.counts):
        yield f"{item}{bar_span_told(open_score, count.bar, last)}: {count.mine}"
        below = f"  {item}"
        for meter, text in count.theirs:
            yield f"{below}theirs in {meter}: {text}"
        for ratio, text in count.together:
            told = f"{below}{ratio}: {text}"
            columns = len(told) if head else get_terminal_size().columns
            yield from wrap(told, columns, subsequent_indent=" " * len(below) + "  ")


def _record(open_score: OpenScore, of: Study) -> dict[str, object]:
    return {
        "part": {"id": of.part_id, "name": of.part_name},
        "first": of.first,
        "last": of.last,
        "printed": span_name(open_score.clock, of.first, of.last),
        "sheet": [_advice(open_score, each) for each in of.sheet],
        "everything": [_advice(open_score, each) for each in of.everything],
        "counts": [
            {
                "bar": count.bar,
                "printed": span_name(open_score.clock, count.bar, count.bar),
                "mine": count.mine,
                "theirs": dict(count.theirs),
                "together": dict(count.together),
            }
            for count in of.counts
        ],
    }


def _advice(open_score: OpenScore, advice: Advice) -> dict[str, object]:
    return {
        "topic": advice.topic.value,
        "first": advice.first,
        "last": advice.last,
        "printed": span_name(open_score.clock, advice.first, advice.last),
        "text": advice.text,
        "weight": advice.weight,
        "exposure": advice.exposure,
        "mixed_meter": advice.is_mixed_meter,
        "times": advice.times,
        "heuristic": advice.is_heuristic,
        "because": list(advice.because),
    }
