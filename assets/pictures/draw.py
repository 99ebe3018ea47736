"""Draws the README's picture: the built-in quartet's bars of 6/8 against 2/4, in the real app.

    python -m assets.pictures.draw [FILE]

The window frame and the web font of the exporter are left out, so that the picture fetches
nothing and shows only what the program shows.
"""

from __future__ import annotations

import asyncio
import os
import re
import sys
import tempfile
from pathlib import Path

PICTURE = Path(__file__).with_name("passage.svg")


async def drawn() -> str:
    """The passage screen at 80 columns, as SVG."""
    from companion.files.folders import demo_score, folders
    from companion.score.passage import passage
    from companion.session.open_score import open_for_practice
    from companion.tui.app import CompanionApp
    from companion.tui.screens.passage_screen import PassageScreen

    os.environ.update(TERM="xterm-256color", COLORTERM="truecolor")  # whoever draws it
    with tempfile.TemporaryDirectory() as folder:
        kept = folders(Path(folder))
        open_score = open_for_practice(demo_score(), kept)
        app = CompanionApp(kept)
        async with app.run_test(size=(80, 24)) as pilot:
            await app.push_screen(
                PassageScreen(open_score, passage(open_score.clock, 3, 14, 17), kept)
            )
            await pilot.pause()
            return plain(app.export_screenshot())


def plain(svg: str) -> str:
    """Without window buttons, title and web fonts, and with ids that do not change."""
    svg = re.sub(r"@font-face \{.*?\}", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<g transform=\"translate\(26,22\)\">.*?</g>", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<text class=\"[^\"]*-title\".*?</text>", "", svg, flags=re.DOTALL)
    svg = re.sub(r"terminal-\d+", "terminal", svg)
    svg = svg.replace("Fira Code, monospace", "ui-monospace, Menlo, Consolas, monospace")
    return "\n".join(line.rstrip() for line in svg.splitlines() if line.strip()) + "\n"


if __name__ == "__main__":
    os.environ["COMPANION_SOUND"] = "silent"
    place = Path(sys.argv[1]) if len(sys.argv) > 1 else PICTURE
    place.write_text(asyncio.run(drawn()), "utf-8")
