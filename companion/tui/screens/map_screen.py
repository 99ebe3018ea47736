"""The map: every part a row, every bar a column, and what pulls against what.

The screen keeps the open score: whatever the player chooses here (my part, what stays at a
change of meter) is on disk before the map shows it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import Screen

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.rhythm.tempo_relation import Same
from companion.score.bar_numbers import bar_name
from companion.score.part_names import distinct_names
from companion.score.passage import passage
from companion.session.open_score import (
    ChoiceMade,
    OpenScore,
    choose_part,
    choose_relation,
    next_relation,
    relations_before,
)
from companion.session.score_chart import (
    Chart,
    chart,
    next_finding,
    only_mine,
    previous_finding,
    span_meant,
)
from companion.tui.screens.score_app import app_of
from companion.tui.widgets.bar_details import BarDetails
from companion.tui.widgets.changed_lines import OneLine
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.map_beside import MapBeside
from companion.tui.widgets.map_lines import KINDS_LEGEND, LEGEND
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_preview import PassagePreview
from companion.tui.widgets.score_map import ScoreMap
from companion.wording.score_sentences import bar_span_told

_KEYS: list[BindingType] = [
    Binding("enter", "practise", "Practise", key_display="⏎"),
    Binding("n", "finding(1)", "Next", key_display="n p"),
    Binding("p", "finding(-1)", "Previous", show=False),
    Binding("f", "filter", "Only mine", show=False),
    Binding("j", "jump", "List", show=False),
    Binding("g", "go_to", "Go to", show=False),
    Binding("m", "mine", "Mine"),
    Binding("s", "select", "Select", show=False),
    Binding("t", "tempo", "Tempo", show=False),
    Binding("e", "study", "Study"),
    Binding("v", "read_part", "My part", show=False),
    Binding("w", "progress", "Progress"),
    Binding("y", "app.today", "Today"),
    Binding("x", "app.exercises", "Exercises", show=False),
    Binding("a", "assumptions", "Assumed", show=False),
    Binding("escape", "back", "Back", show=False),
]
"""What each key does; as many are shown as 80 columns hold, the others are in the help."""

_EXPLAINED = [
    ("← →", "by bar"),
    ("Shift+← →", "by screen, as Page Up and Page Down"),
    ("Home End", "first bar, last bar"),
    ("↑ ↓", "by part"),
    ("n p", "next, previous place where something pulls"),
    ("", "(3:2) stands on the page only: nobody plays the other division"),
    ("", "[hemiola] [by 3 over 4] [off the beat]: a part against the meter"),
    ("", "dot:3 is dotted against triplet: agree where the short note falls"),
    (
        "",
        "in the line of the whole score: ▪ conflict, : dotted against triplet, ≈ hemiola, "
        "≡ grouping, / off the beat, ▫ on the page only",
    ),
    ("f", "only what my part plays in, or everything that pulls"),
    ("j", "list of what pulls; type to narrow it, Enter goes there"),
    ("g", "go to a bar or a rehearsal mark"),
    ("m", "choose the part under the cursor as mine (●)"),
    ("s", "select from here; Escape ends the selection"),
    ("Enter", "practise the selection, else what pulls here, else four bars"),
    ("t", "what stays at the last change of meter: the beat, the note, or as printed"),
    ("e", "study sheet for my part"),
    ("v", "my part as notes, with what pulls above its bars"),
    ("w", "progress of my part"),
    ("y", "today's plan"),
    ("x", "exercises: assigned and built in"),
    ("a", "assumptions about this score"),
]
"""The same in words, for the help."""


class MapScreen(Screen[None]):
    """The map of one score."""

    CSS_PATH = "map_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = _KEYS
    HELP: ClassVar[list[tuple[str, str]]] = _EXPLAINED  # type: ignore[assignment]

    def __init__(self, open_score: OpenScore, folders: Folders) -> None:
        super().__init__()
        self.open_score = open_score
        self.folders = folders
        self.is_only_mine = True
        self._whole = chart(open_score, open_score.periods if open_score.knows_periods else ())
        self._asked_to_overrule: int | None = None

    def compose(self) -> ComposeResult:
        """Heading, map, legend, what is at the cursor, a line to be told things."""
        yield Heading(self.open_score.score.title)
        yield ScoreMap(self.open_score, self.chart)
        yield OneLine(f"{LEGEND}  {KINDS_LEGEND}", id="map-legend")
        with Horizontal(id="map-words"):
            yield Vertical(BarDetails(), PassagePreview())
            yield MapBeside()
        yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Begin at my part in the first bar, and follow the cursor from there on."""
        score_map = self.score_map
        score_map.part = self.open_score.my_part or 0
        for what in ("bar", "part", "selected_from"):
            self.watch(score_map, what, self._follow, init=False)
        score_map.focus()
        if not self.open_score.knows_periods:
            self.app.call_after_refresh(self._show_periods)  # the screen itself may not be painted

    def on_resize(self) -> None:
        """What is beside the map, and so what is told below it; first as soon as it is shown."""
        self._tell()

    def _show_periods(self) -> None:
        """What pulls in time is looked for when the map stands already."""
        if not self.is_attached:
            return
        self._whole = chart(self.open_score, self.open_score.periods)
        self._show_chart()

    def _show_chart(self) -> None:
        self.score_map.chart = self.chart
        self.score_map.refresh(layout=True)
        self._tell()

    @property
    def chart(self) -> Chart:
        """What the map shows: only what is mine once I have a part, unless all is wished."""
        return only_mine(self._whole, self.open_score.choices.part if self.is_only_mine else None)

    @property
    def score_map(self) -> ScoreMap:
        """The map itself."""
        return self.query_one(ScoreMap)

    @property
    def notice(self) -> Notice:
        """The line for messages."""
        return self.query_one(Notice)

    def _follow(self) -> None:
        self.notice.clear()
        self._asked_to_overrule = None
        self.score_map.repaint()
        self._tell()

    def _tell(self) -> None:
        here, clock = self.score_map, self.open_score.clock
        bar = clock.bars[here.bar - 1]
        last = next(one for one in reversed(clock.bars) if one.movement == bar.movement)
        shown = here.chart
        mine = f"{_mine_told(shown)} · " if shown.others else ""
        self.query_one(Heading).right = f"{mine}bar {bar_name(clock, bar)} of {last.name}"
        self.query_one(BarDetails).show(self.open_score, shown, here.bar, here.part, here.selection)
        self.query_one(MapBeside).show(self.open_score, shown, here.bar)
        self.query_one(PassagePreview).show_pull(
            self.open_score, shown, self.open_score.my_part, here.bar
        )

    def action_finding(self, way: int) -> None:
        """To the next or the previous place where something pulls."""
        bar, shown = self.score_map.bar, self.score_map.chart
        found = next_finding(shown, bar) if way > 0 else previous_finding(shown, bar)
        if found is not None:
            self.score_map.bar = found.first
        else:
            side = "after" if way > 0 else "before"
            where = f"{side} {bar_span_told(self.open_score, bar, bar)}"
            self.notice.say(
                f"Nothing of yours pulls {where}. f shows everything."
                if shown.others
                else f"Nothing pulls {where}."
            )

    def action_filter(self) -> None:
        """Only what my part plays in, or everything."""
        if self.open_score.my_part is None:
            self.notice.say("No part is yours yet: m chooses the one under the cursor.")
            return
        self.is_only_mine = not self.is_only_mine
        self._show_chart()
        count, there = len(self.chart.found), len(self._whole.found)
        only = f"Only what you play in: {count} of {there}."
        self.notice.say(only if self.is_only_mine else f"Everything that pulls: {there}.")

    def action_jump(self) -> None:
        """List what pulls and go to the chosen one."""
        from companion.tui.screens.findings_screen import FindingsScreen

        shown = self.score_map.chart
        if not shown.found:
            of_others = "Nothing of yours pulls. f shows everything."
            self.notice.say(of_others if shown.others else "Nothing pulls.")
            return
        title = _mine_told(shown) if shown.others else f"What pulls: {len(shown.found)}"
        screen = FindingsScreen(self.open_score, shown.found, self.score_map.bar, title)
        self.app.push_screen(screen, self._go_to)

    def action_go_to(self) -> None:
        """Ask for a bar and go there."""
        from companion.tui.screens.go_to_screen import GoToScreen

        self.app.push_screen(GoToScreen(self.open_score.clock, self.score_map.bar), self._go_to)

    def _go_to(self, bar: int | None) -> None:
        if bar is not None:
            self.score_map.bar = bar

    def action_mine(self) -> None:
        """The part under the cursor is mine."""
        self._make_mine(self.score_map.part)

    def _make_mine(self, part: int) -> None:
        name = self.open_score.score.parts[part].name
        self._show_choice(choose_part(self.open_score, self.folders, part), f"{name} is your part.")

    def _show_choice(self, made: ChoiceMade, said: str) -> None:
        is_laid_anew = made.open_score.clock is not self.open_score.clock
        self.open_score = self.score_map.open_score = made.open_score
        self._show_periods() if is_laid_anew else self._show_chart()
        if made.problem is None:
            self.notice.say(said)
        else:
            self.notice.show_error(made.problem, "It applies until you close the score.")

    def action_select(self) -> None:
        """A selection begins here; it ends wherever the cursor goes."""
        self.score_map.selected_from = self.score_map.bar

    def action_back(self) -> None:
        """Let go of a selection; without one, leave the map."""
        if self.score_map.selected_from is not None:
            self.score_map.selected_from = None
        else:
            self.dismiss()

    def action_tempo(self) -> None:
        """Change what stays the same at the last change of meter up to the cursor."""
        told = relations_before(self.open_score, self.score_map.bar)
        if not told:
            self.notice.say("No meter changes up to here, so no tempo relation was assumed.")
            return
        bar = told[0].bar
        same = next_relation(self.open_score, bar)
        is_printed = any(one.because == "mark" for one in told)
        if same and is_printed and self._asked_to_overrule != bar:
            self._asked_to_overrule = bar
            where = bar_span_told(self.open_score, bar, bar)
            self.notice.say(f"A mark in the score decides at {where}. t again overrules it.")
            return
        self._asked_to_overrule = None
        said = _relation_said(self.open_score, bar, same)
        self._show_choice(choose_relation(self.open_score, self.folders, bar, same), said)

    def action_assumptions(self) -> None:
        """List everything that was assumed."""
        from companion.tui.screens.assumptions_screen import AssumptionsScreen

        self.app.push_screen(AssumptionsScreen(self.open_score))

    def action_practise(self) -> None:
        """Open a passage; first ask whose, where no part is mine yet."""
        self._as_me(self._practise)

    def action_study(self) -> None:
        """The score explained to one part; first ask whose, where no part is mine yet."""
        self._as_me(self._study)

    def action_read_part(self) -> None:
        """The notes of one part; first ask whose, where no part is mine yet."""
        self._as_me(self._read_part)

    def action_progress(self) -> None:
        """How one part goes; first ask whose, where no part is mine yet."""
        self._as_me(self._progress)

    def _as_me(self, act: Callable[[int], None]) -> None:
        if self.open_score.my_part is not None:
            act(self.open_score.my_part)
            return
        from companion.tui.screens.choice_screen import WHOSE, ChoiceScreen

        def chosen(part: int | None) -> None:
            if part is not None:
                self._make_mine(part)
                act(part)

        names = distinct_names([part.name for part in self.open_score.score.parts])
        self.app.push_screen(ChoiceScreen(WHOSE, names, self.score_map.part), chosen)

    def _study(self, part: int) -> None:
        from companion.tui.screens.study_screen import StudyScreen

        self.app.push_screen(StudyScreen(self.open_score, part, self.folders))

    def _read_part(self, part: int) -> None:
        from companion.tui.screens.part_screen import PartScreen

        mine = only_mine(self._whole, self.open_score.score.parts[part].id)
        bar = self.score_map.bar
        self.app.push_screen(PartScreen(self.open_score, part, mine, bar, self.folders))

    def _progress(self, part: int) -> None:
        from companion.tui.screens.progress_screen import ProgressScreen

        self.app.push_screen(ProgressScreen(self.open_score, part, self.folders))

    def _practise(self, part: int) -> None:
        here = self.score_map
        span = span_meant(self.open_score, here.chart, here.bar, here.selection)
        try:
            chosen = passage(self.open_score.clock, part, span.first, span.last)
        except CompanionError as problem:
            self.notice.show_error(problem)
        else:
            app_of(self).open_passage(self.open_score, chosen)


def _mine_told(shown: Chart) -> str:
    """`3 of 12 are yours`."""
    mine = len(shown.found)
    return f"{mine} of {mine + shown.others} {'is' if mine == 1 else 'are'} yours"


def _relation_said(open_score: OpenScore, bar: int, same: Same | None) -> str:
    """What was chosen to stay from a bar on; None is what page and custom say."""
    if same is None and bar not in open_score.choices.relations:
        where = bar_span_told(open_score, bar, bar)
        return f"{where}: beat = beat and note = note change nothing."
    what = f"{same.value}, by your own setting" if same else "as the page and custom have it"
    return f"From {bar_span_told(open_score, bar, bar)} on: {what}."
