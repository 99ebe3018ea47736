"""A part as pages in the system's own viewer, made while the screen goes on."""

from __future__ import annotations

from textual.screen import Screen

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.session.open_score import OpenScore
from companion.tui.widgets.notice import Notice


def show_pages(screen: Screen[None], open_score: OpenScore, part: int, folders: Folders) -> None:
    """Engrave a part and open it; the screen's notice says what comes of it."""
    notice = screen.query_one(Notice)
    name = open_score.score.parts[part].name
    notice.say(f"Engraving {name} …")

    def make() -> None:
        from companion.session.part_viewer import view_part

        try:
            view_part(open_score, part, folders)
        except CompanionError as problem:
            screen.app.call_from_thread(notice.show_error, problem)
        else:
            screen.app.call_from_thread(notice.say, f"{name} is open in the system's viewer.")

    screen.run_worker(make, thread=True, exclusive=True, group="pages")
