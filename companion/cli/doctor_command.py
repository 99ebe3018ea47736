"""`companion doctor`: what works on this machine, and what to do about what does not."""

from __future__ import annotations

import argparse
from dataclasses import asdict

from companion.cli.shared_options import ask_json, folders_of, print_json
from companion.session.health_checks import checked_health


def arguments(parser: argparse.ArgumentParser) -> None:
    """[--json]."""
    ask_json(parser)
    parser.epilog = "It names no score, no device and no person, so it can be pasted anywhere."


def run(args: argparse.Namespace) -> int:
    """A line for each thing, what does not work marked; 1 if something does not."""
    found = checked_health(folders_of(args))
    if args.json:
        print_json({"checks": [asdict(one) for one in found]})
    else:
        width = max(len(one.what) for one in found)
        for one in found:
            print(f"{'ok' if one.is_well else '!!'}  {one.what.ljust(width)}  {one.found}")
            if one.next:
                print(f"    {' ' * width}  {one.next}")
    return 0 if all(one.is_well for one in found) else 1
