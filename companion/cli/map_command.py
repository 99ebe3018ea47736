"""`companion map SCORE`: bars, meters and conflicts, for people or as JSON."""

from __future__ import annotations

import argparse

from companion.cli.shared_options import (
    ask_json,
    ask_score,
    ask_unfolded,
    open_score_of,
    opening_of,
    print_json,
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """SCORE [--json] [--unfolded]."""
    ask_score(parser)
    ask_unfolded(parser)
    ask_json(parser)


def run(args: argparse.Namespace) -> int:
    """Print the map."""
    opening = opening_of(args)

    # Nothing of this is needed before the score is there: it is imported meanwhile.
    if args.json:
        from companion.publish.map_json import overview

        print_json(overview(open_score_of(args, opening)))
    else:
        from companion.wording.map_sentences import score_map_told

        for line in score_map_told(open_score_of(args, opening)):
            print(line)
    return 0
