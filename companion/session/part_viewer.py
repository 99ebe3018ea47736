"""A part as PDF, opened in whatever the system shows such files with."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.whole_file import make_own_folder
from companion.part.player_entrances import Cues
from companion.session.open_score import OpenScore
from companion.session.part_file import write_part_file


def view_part(open_score: OpenScore, part: int, folders: Folders) -> Path:
    """Write the part as PDF into the cache and open it; where the file is.

    Raises CompanionError if it cannot be engraved, or nothing shows it.
    """
    own = open_score.score.parts[part]
    folder = folders.cache / "pages"
    try:
        make_own_folder(folder)
    except OSError as problem:
        raise CompanionError(
            f"there is no place for the pages: {problem.strerror}", where=str(folder)
        ) from problem
    name = re.sub(r"[^\w-]+", "_", f"{open_score.path.stem}_{own.name}")[:80]
    pages = folder / f"{name}.pdf"
    write_part_file(open_score, folders, str(part + 1), pages, Cues.SHORT)
    open_in_viewer(pages)
    return pages


def open_in_viewer(file: Path) -> None:
    """Hand a file to the system. Raises CompanionError if it has nothing to show it with."""
    if sys.platform == "win32":
        os.startfile(file)
        return
    opener = shutil.which("open" if sys.platform == "darwin" else "xdg-open")
    # Without a desktop there is nothing that could show a window, whatever is installed.
    has_desktop = sys.platform == "darwin" or {"DISPLAY", "WAYLAND_DISPLAY"} & os.environ.keys()
    if opener is None or not has_desktop:
        raise CompanionError("this system has no viewer to open", next=f"Your part is in {file}")
    subprocess.Popen(
        [opener, str(file)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
