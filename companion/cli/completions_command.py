"""`companion completions bash|zsh|fish`: the script by which a shell completes command lines."""

from __future__ import annotations

import argparse

from companion.cli.main import whole_parser

_SHELLS = ("bash", "zsh", "fish")


def arguments(parser: argparse.ArgumentParser) -> None:
    """SHELL."""
    parser.add_argument("shell", metavar="SHELL", choices=_SHELLS, help="bash, zsh or fish")
    parser.epilog = 'For bash, put this line into ~/.bashrc: eval "$(companion completions bash)"'


def run(args: argparse.Namespace) -> int:
    """Print the script."""
    import shtab

    print(shtab.complete(whole_parser(), args.shell))
    return 0
