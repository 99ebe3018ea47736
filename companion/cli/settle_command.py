"""`companion settle SCORE`: say once which part is mine and what stays at a change of meter."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from companion.cli.shared_options import ask_json, ask_score, folders_of, open_score_of, print_json
from companion.errors import RequestError
from companion.rhythm.tempo_relation import Same
from companion.score.bar_numbers import bar_name, find_bar, find_part, span_name
from companion.session.open_score import ChoiceMade, OpenScore, choose_part, choose_relation
from companion.wording.score_sentences import bar_span_told

_RELATIONS: dict[str, Same | None] = {"beat": Same.BEAT, "note": Same.NOTE, "page": None}


def arguments(parser: argparse.ArgumentParser) -> None:
    """SCORE [--part P] [--relation BAR=beat|note|page]…"""
    ask_score(parser)
    parser.add_argument("--part", help="your part")
    parser.add_argument(
        "--relation",
        action="append",
        default=[],
        metavar="BAR=WHAT",
        help="what stays at the change of meter in a bar: beat, note, or page (as printed and by "
        "custom); repeatable",
    )
    ask_json(parser)
    parser.epilog = "Without options it shows your choices. Every command and screen uses them."


def run(args: argparse.Namespace) -> int:
    """Settle what was asked and tell everything that is settled. Raises CompanionError if it
    cannot be kept: nothing else would heed it."""
    open_score, folders = open_score_of(args), folders_of(args)
    if args.part is not None:
        open_score = _kept(choose_part(open_score, folders, find_part(open_score.score, args.part)))
    for text in args.relation:
        bar, same = _relation(open_score, text)
        open_score = _kept(choose_relation(open_score, folders, bar, same))
    if args.json:
        relations = {
            str(bar): same.value for bar, same in sorted(open_score.choices.relations.items())
        }
        printed = {bar: span_name(open_score.clock, int(bar), int(bar)) for bar in relations}
        print_json({"part": open_score.choices.part, "relations": relations, "printed": printed})
    else:
        for line in _told(open_score):
            print(line)
    return 0


def _relation(open_score: OpenScore, text: str) -> tuple[int, Same | None]:
    """`33=beat` as a bar at which some part's meter changes, and what stays there."""
    where, _, what = text.partition("=")
    if what not in _RELATIONS:
        raise RequestError(
            f"“{text}” is not a tempo relation", next="Write 33=beat, 33=note or 33=page."
        )
    bar = find_bar(open_score.clock, where)
    changes = {told.bar for told in open_score.clock.assumptions if told.what == "tempo relation"}
    if (
        bar > 1
        and open_score.clock.bars[bar - 2].movement != open_score.clock.bars[bar - 1].movement
    ):
        raise RequestError(
            f"a new movement begins in {bar_span_told(open_score, bar, bar)}",
            where=open_score.score.title,
            next="Its tempo does not depend on the one before.",
        )
    if bar not in changes:
        names = [
            bar_name(open_score.clock, open_score.clock.bars[at - 1]) for at in sorted(changes)
        ]
        there = f"Meters change in bar{'s' if len(names) > 1 else ''} {', '.join(names)}."
        raise RequestError(
            f"no meter changes in {bar_span_told(open_score, bar, bar)}",
            where=open_score.score.title,
            next=there if names else "No meter of this score changes, so nothing is to be settled.",
        )
    return bar, _RELATIONS[what]


def _kept(made: ChoiceMade) -> OpenScore:
    if made.problem is not None:
        raise made.problem
    return made.open_score


def _told(open_score: OpenScore) -> Iterator[str]:
    names = {part.id: part.name for part in open_score.score.parts}
    yield f"my part: {names.get(open_score.choices.part or '', 'not chosen')}"
    for bar, same in sorted(open_score.choices.relations.items()):
        yield f"{bar_span_told(open_score, bar, bar)}: {same.value}"
