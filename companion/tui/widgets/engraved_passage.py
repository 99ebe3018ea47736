"""A passage as notes: engraved where the terminal shows pictures, in characters elsewhere.

The playhead runs in a line of characters over each picture, so that a picture is sent once
and never while music plays.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.theme import Theme
from textual.widgets import Static

from companion.errors import CompanionError
from companion.files.folders import Folders, assets_folder
from companion.part.engraving.passage_picture import EngravedSystem, PictureStyle
from companion.score.passage import Passage
from companion.session.lanes import Lanes
from companion.session.open_score import OpenScore
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_lanes import PLAYHEAD, PassageLanes
from companion.tui.widgets.picture_terminal import (
    Pictures,
    is_likely,
    picture_widget,
    pictures_of,
)

NO_PICTURES = "This terminal shows no pictures (Kitty or Sixel); the notes are in characters."
_CELL = 10
"""Pixels of a column, for the size of notes; the terminal fits the picture to its own."""


class EngravedPassage(Vertical):
    """Lanes or a staff in characters, and over them the engraved page if it is wanted."""

    DEFAULT_CSS = """
    EngravedPassage {
        height: 1fr;
        & > VerticalScroll { display: none; height: 1fr; }
        &.-engraved > VerticalScroll { display: block; }
        &.-engraved > PassageLanes { display: none; }
        & .ruler { height: 1; text-style: bold; }
        & .system { height: auto; width: 100%; }
    }
    """

    @dataclass
    class Engraved(Message):
        """The pictures of some lanes are there, or why they are not."""

        lanes: Lanes
        outcome: list[EngravedSystem] | CompanionError

    def __init__(self, lanes: Lanes, open_score: OpenScore, folders: Folders) -> None:
        super().__init__()
        self.has_page = bool(open_score.path.name)  # a beat without a score has none
        self.lanes = PassageLanes(lanes, has_notes=self.has_page)
        self.open_score = open_score
        self.folders = folders
        self.pictures = Pictures.NONE
        self.systems: list[EngravedSystem] = []
        self._drawn: Lanes | None = None

    def compose(self) -> ComposeResult:
        """What is always there, and the page."""
        yield self.lanes
        yield VerticalScroll()

    def on_mount(self) -> None:
        """Follow the cursor and the playhead; engrave at once if the terminal is known for it."""
        self.watch(self.lanes, "cursor", self._rule, init=False)
        self.watch(self.lanes, "playhead", self._rule, init=False)
        self.app.theme_changed_signal.subscribe(self, self._in_other_colours)
        if is_likely() and self.has_page:
            self.call_after_refresh(self.ask)

    def on_unmount(self) -> None:
        """The app lives on, and would keep the page and its lanes."""
        self.app.theme_changed_signal.unsubscribe(self)

    def ask(self) -> None:
        """Engrave if the terminal takes pictures, else say that it does not."""
        self.pictures = pictures_of(self.app)
        if self.pictures is Pictures.NONE:
            self.screen.query_one(Notice).say(NO_PICTURES)
        else:
            self.engrave(self.pictures)

    def _in_other_colours(self, _: Theme) -> None:
        """The page is made anew in the ink and on the paper of another theme."""
        self._drawn = None
        if self.has_class("-engraved"):
            self.engrave(self.pictures)

    def toggle(self) -> None:
        """The engraved page, or characters again."""
        if self.has_class("-engraved"):
            self.remove_class("-engraved")
        else:
            self.ask()

    def on_passage_lanes_changed(self) -> None:
        """Other bars, or another part to compare with: another page."""
        if self.has_class("-engraved"):
            self.engrave(self.pictures)

    def engrave(self, pictures: Pictures) -> None:
        """Make the page in a child process, and show it when it is there."""
        self.pictures = pictures
        lanes = self.lanes.lanes
        if self._drawn is lanes:
            self.add_class("-engraved")
            return
        theme = self.app.theme_variables
        style = PictureStyle(
            max(40, self.size.width) * _CELL,
            *_ink_and_paper(theme),
            assets_folder() / "fonts",
        )

        def make() -> None:
            from companion.part.engraving.passage_picture import engrave_passage
            from companion.session.part_file import unchanged_source

            outcome: list[EngravedSystem] | CompanionError
            try:
                source = unchanged_source(self.open_score, self.folders)
                bars = lanes.bars
                here = Passage(lanes.clock, lanes.mine.part, bars[0].number, bars[-1].number)
                outcome = engrave_passage(source, here, lanes.facing.part, style)
            except CompanionError as problem:
                outcome = problem
            self.post_message(self.Engraved(lanes, outcome))

        self.run_worker(make, thread=True, exclusive=True, group="engraving")

    async def on_engraved_passage_engraved(self, message: Engraved) -> None:
        """Show the page, unless the bars are others by now."""
        if message.lanes is not self.lanes.lanes:
            return
        if isinstance(message.outcome, CompanionError):
            self.remove_class("-engraved")
            self.screen.query_one(Notice).show_error(message.outcome)
            return
        self.systems, self._drawn = message.outcome, message.lanes
        page = self.query_one(VerticalScroll)
        await page.remove_children()
        for system in self.systems:
            picture = picture_widget(system.picture, self.pictures)
            picture.add_class("system")
            await page.mount(Static(classes="ruler", markup=False), picture)
        self.add_class("-engraved")
        self._rule()

    def _rule(self) -> None:
        """Bar numbers and the playhead over each picture; only lines that change are sent."""
        if not self.systems or not self.has_class("-engraved"):
            return
        heard, cursor = self.lanes.playhead, self.lanes.cursor
        for number, ruler in enumerate(self.query(".ruler").results(Static)):
            text = ruler_text(
                self.systems[number], self.lanes.lanes, self.size.width, cursor, heard
            )
            if text != ruler.content:
                ruler.update(text)
                if PLAYHEAD in text or "[" in text:
                    ruler.scroll_visible(animate=False)


def ruler_text(
    system: EngravedSystem, lanes: Lanes, width: int, cursor: int | None, heard: Fraction | None
) -> str:
    """`13        [14]   ▼`, each over its place in a picture `width` columns wide."""
    line = [" "] * width
    for index, x in system.bars:
        label = f"[{lanes.labels[index]}]" if index == cursor else lanes.labels[index]
        line[int(x * width) : int(x * width) + len(label)] = label
    place = None if heard is None else place_of(system, lanes, heard)
    if place is not None:
        line[min(width - 1, int(place * width))] = PLAYHEAD
    return "".join(line[:width])


def place_of(system: EngravedSystem, lanes: Lanes, time: Fraction) -> float | None:
    """Where a clock time stands as a share of the width, in proportion between two notes; None
    if it is in another system."""
    if not system.bars:
        return None
    end = lanes.bars[system.bars[-1][0]].end
    if not lanes.bars[system.bars[0][0]].start <= time < end:
        return None
    marks = sorted({*system.moments, *_starts(system, lanes), (end, 1.0)})
    after = bisect_right(marks, time, key=lambda mark: mark[0])
    (begin, left), (until, right) = marks[after - 1], marks[min(after, len(marks) - 1)]
    if until == begin:
        return left
    return left + (right - left) * float((time - begin) / (until - begin))


def _starts(system: EngravedSystem, lanes: Lanes) -> list[tuple[Fraction, float]]:
    """Barlines at which nothing is struck."""
    struck = {time for time, _ in system.moments}
    starts = ((lanes.bars[index].start, x) for index, x in system.bars)
    return [(time, x) for time, x in starts if time not in struck]


def _ink_and_paper(theme: dict[str, str]) -> tuple[str, str]:
    """As the screen has them; the terminal's own are not known, so black on white."""
    ink, paper = theme.get("foreground", ""), theme.get("background", "")
    return (ink[:7], paper[:7]) if ink[:1] == paper[:1] == "#" else ("#000000", "#ffffff")
