"""Draws the README's pictures in the real app: the map, a passage, a drill and the day's plan
of the built-in quartet.

    python -m assets.pictures.draw [FOLDER]

The window frame and the web font of the exporter are left out, so that a picture fetches
nothing and shows only what the program shows.
"""

from __future__ import annotations

import asyncio
import os
import re
import sys
import tempfile
from datetime import datetime, timedelta, timezone
from pathlib import Path

FOLDER = Path(__file__).parent
SIZE = (100, 30)
"""Columns and rows."""
KEYS = {"map": ("n",), "today": ("y",), "passage": ("escape", "enter"), "drill": ("d",)}
"""What leads from one picture to the next, from the map on."""
CELLO = 3
EVENING = datetime(2026, 3, 2, 18, 20, tzinfo=timezone(timedelta(hours=1)))


async def drawn() -> dict[str, str]:
    """Each picture by its name, as SVG."""
    from companion.files.folders import demo_score, folders
    from companion.session.open_score import choose_part, open_for_practice
    from companion.tui.app import CompanionApp

    # Whoever draws it, and whatever sounds there.
    os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", COMPANION_SOUND="silent")
    pictures = {}
    with tempfile.TemporaryDirectory() as folder:
        kept = folders(Path(folder))
        choose_part(open_for_practice(demo_score(), kept), kept, CELLO)
        app = CompanionApp(kept, demo_score(), lambda: EVENING)
        async with app.run_test(size=SIZE) as pilot:
            for name, keys in KEYS.items():
                for key in keys:
                    await pilot.press(key)
                    await app.workers.wait_for_complete()
                    await pilot.pause()
                pictures[name] = plain(app.export_screenshot())
    return pictures


def plain(svg: str) -> str:
    """Without window buttons, title and web fonts, and with ids that do not change."""
    svg = re.sub(r"@font-face \{.*?\}", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<g transform=\"translate\(26,22\)\">.*?</g>", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<text class=\"[^\"]*-title\".*?</text>", "", svg, flags=re.DOTALL)
    svg = re.sub(r"terminal-\d+", "terminal", svg)
    svg = svg.replace("Fira Code, monospace", "ui-monospace, Menlo, Consolas, monospace")
    return "\n".join(line.rstrip() for line in svg.splitlines() if line.strip()) + "\n"


if __name__ == "__main__":
    place = Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER
    for name, svg in asyncio.run(drawn()).items():
        (place / f"{name}.svg").write_text(svg, "utf-8")
