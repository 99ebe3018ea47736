"""The drill as a dialogue in lines: start, stop, tempo, how it went.

What was played is kept as in the app: every few seconds while it is unrated, and asked about
when the player leaves. A thread rings the terminal's bell on each beat if that is wanted.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable

from companion.cli.plain_dialogue import Choice, Dialogue, Quit
from companion.click.words.layer_words import silences_in_words
from companion.errors import CompanionError, RequestError
from companion.files.folders import Folders
from companion.journal.practice_in_progress import (
    EVERY_SECONDS,
    forget_in_progress,
    keep_in_progress,
)
from companion.practice.attempt import KEYS, Outcome, outcome_named
from companion.score.bar_numbers import find_bars
from companion.score.typed_numbers import is_whole
from companion.session.accompaniment import accompaniment_in_words
from companion.session.drill import Drill
from companion.session.setting_changes import (
    nudged,
    with_accompaniment,
    with_layers_named,
    with_others_toggled,
    with_plan,
    with_silences,
)
from companion.session.settings import Setting
from companion.session.tally import Stretch
from companion.wording.drill_sentences import (
    BEFORE_THE_FIRST_SOUND,
    NO_LADDER_LEFT,
    NOTHING_TO_UNDO,
    TIME_FOR_A_REST,
    ladder_told,
    not_through_told,
    noted_told,
    passes_told,
    silence_told,
    state_told,
    stretch_told,
    tempo_line,
)
from companion.wording.log_sentences import OUTCOME_MEANINGS
from companion.wording.phrases import silences_named
from companion.wording.score_sentences import bar_span_told

_LOOK_SECONDS = 0.02
"""How often the bell looks where the beat is."""


def practise(dialogue: Dialogue, drill: Drill, folders: Folders, *, with_bell: bool) -> None:
    """Practise until the player goes back; closes the drill. Raises Quit, asked how it went."""
    room = _DrillDialogue(dialogue, drill, folders, with_bell=with_bell)
    dialogue.silence = room.silence
    wants_to_quit = False
    try:
        room.greet()
        try:
            dialogue.menu("Drill", room.choices())
        except Quit:
            wants_to_quit = True
        room.leave()
    except BaseException:  # nobody is there to say how it went: the next start asks
        room.keep_practice()
        raise
    finally:
        dialogue.silence = lambda: False
        room.close()
    if wants_to_quit:
        raise Quit


class _DrillDialogue:
    """One drill, and the thread that keeps what was played and rings the bell."""

    def __init__(
        self, dialogue: Dialogue, drill: Drill, folders: Folders, *, with_bell: bool
    ) -> None:
        self._dialogue, self._drill, self._folders = dialogue, drill, folders
        self._with_bell = with_bell
        self._lock = threading.Lock()
        self._ended = threading.Event()
        self._watch = threading.Thread(target=self._look, daemon=True)
        self._watch.start()

    def choices(self) -> list[Choice]:
        """What can be done in a drill."""
        named = self._changed_by
        return [
            Choice("start", "count in and play, or go on", lambda _: self._sound(Drill.start)),
            Choice("pause", "stay at this bar", lambda _: self._sound(Drill.pause)),
            Choice("stop", "back to the beginning", lambda _: self._sound(Drill.stop)),
            Choice("again", "this bar again, counted in", lambda _: self._sound(Drill.again)),
            Choice("bar", "begin at a bar: bar 14", self._begin_at),
            Choice("how", "say how it went, for the log", lambda _: self.ask_how_it_went()),
            Choice("status", "tempo, bar, times through", lambda _: self.tell()),
            Choice("tempo", "tempo 60, or a plan: tempo 60 to 90 by 4", named(with_plan, "Tempo")),
            Choice("faster", "one beat a minute, or as many: faster 5", lambda by: self._nudge(by)),
            Choice("slower", "the same downwards", lambda by: self._nudge(by, -1)),
            Choice("layers", "what clicks: layers beat, theirs", self._layers),
            Choice(
                "silences", "bars without click: silences every 4", named(with_silences, "Silences")
            ),
            Choice("along", "who plays along: along cello; along alone: on or off", self._along),
            Choice("ladder", "go on with the ladder of last time", lambda _: self._go_on()),
            Choice("undo", "undo the last change", lambda _: self._undo()),
            Choice("bell", "the terminal's bell on each beat, on or off", lambda _: self._ring()),
        ]

    def greet(self) -> None:
        """What is practised, and how it stands."""
        drill = self._drill
        bars = bar_span_told(drill.open_score, drill.passage.first, drill.passage.last)
        print(f"Drill of {bars}, {drill.passage.part_name}, {drill.open_score.score.title}.")
        if drill.is_caution_due:
            print(BEFORE_THE_FIRST_SOUND)
        if told := ladder_told(drill).replace("g: go on", "ladder: go on"):
            print(told)
        self.tell()

    def tell(self) -> None:
        """How it stands."""
        drill = self._drill
        with self._lock:
            lines = [
                _without_keys(state_told(drill, drill.position())),
                _without_keys(tempo_line(drill)),
                f"Layers: {', '.join(one.value for one in drill.setting.layers)}. "
                f"Silences: {silences_named(silences_in_words(drill.setting.silences))}.",
                _others(drill),
                passes_told(drill),
                drill.notice,
                silence_told(drill).removesuffix(" b: the beat."),
                TIME_FOR_A_REST if drill.is_long_without_rest else "",
            ]
        print("\n".join(filter(None, lines)))

    def silence(self) -> bool:
        """Stop what sounds; whether anything did."""
        with self._lock:
            sounded = self._drill.state == "playing"
            self._drill.pause()
        return sounded

    def leave(self) -> None:
        """Ask how it went if it was played through."""
        self.silence()
        if self._drill.has_gone_through:
            try:
                self.ask_how_it_went()
            except Quit:
                print("Not logged.")
        with self._lock:
            self._ended.set()
            forget_in_progress(self._folders)

    def close(self) -> None:
        """No sound and no thread is left behind."""
        self._ended.set()
        self._watch.join()
        self._drill.close()

    def keep_practice(self) -> None:
        """Keep what was played and not rated yet."""
        with self._lock:
            if self._ended.is_set():
                return
            so_far = self._drill.so_far()
            if so_far:
                keep_in_progress(self._folders, so_far)
            else:
                forget_in_progress(self._folders)

    def ask_how_it_went(self) -> None:
        """The latest first; on disk when this returns."""
        self.silence()
        if not self._drill.unrated:
            raise RequestError("nothing was played yet", next="Type start first.")
        for key, outcome in KEYS.items():
            print(f"{key} {outcome.value}: {OUTCOME_MEANINGS[outcome]}")
        stretch: Stretch | None = self._drill.unrated[0]
        while stretch is not None and self._rate(stretch):
            left = [one for one in self._drill.unrated if not one.is_a_moment]
            stretch = left[0] if left else None
        self.keep_practice()
        with self._lock:
            self._drill.load(self._drill.render())

    def _rate(self, stretch: Stretch) -> bool:
        """Ask about one stretch until it is noted; False if it is skipped."""
        print(stretch_told(self._drill, stretch))
        if why := not_through_told(self._drill, stretch):
            print(why)
        while True:
            said = self._dialogue.ask("How did it go? 1 to 4, its word, or skip")
            if said == "quit":
                raise Quit
            if said in ("skip", "back", "0"):
                return False
            try:
                outcome = outcome_named(said)
                self._note(outcome, stretch)
            except CompanionError as problem:
                print(problem.sentence())
            else:
                return True

    def _note(self, outcome: Outcome, stretch: Stretch) -> None:
        if self._drill.rated_as(stretch, outcome) is None:
            self._drill.attempt(outcome, of=stretch)  # says why it cannot have held
        note = self._dialogue.ask("A note for next time, or Enter")
        with self._lock:
            attempt = self._drill.attempt(outcome, note, of=stretch)
        print(noted_told(self._drill, attempt))

    def _sound(self, do: Callable[[Drill], None]) -> None:
        with self._lock:
            do(self._drill)
            print(_without_keys(state_told(self._drill, self._drill.position())))
            if self._drill.notice:
                print(self._drill.notice)

    def _begin_at(self, typed: str) -> None:
        typed = typed or self._dialogue.ask("Which bar")
        bar, _ = find_bars(self._drill.open_score.clock, typed)
        with self._lock:
            position = self._drill.position()
            here = position.bar if position else self._drill.setting.first
            self._drill.seek(bar - (here or self._drill.passage.first))
        self.tell()

    def _change(self, change: Callable[[Setting], Setting], *, is_step: bool = False) -> None:
        """Another setting, refused before anything that sounds is another."""
        drill = self._drill
        with self._lock:
            before = drill.setting
            drill.change(change(before), is_step=is_step)
            self._load_or_go_back(before)
        print(_without_keys(tempo_line(drill)) if is_step else "Done.")

    def _load_or_go_back(self, before: Setting) -> None:
        try:
            self._drill.load(self._drill.render())
        except CompanionError:
            self._drill.request(before)
            raise

    def _changed_by(
        self, change: Callable[[Setting, str], Setting], what: str
    ) -> Callable[[str], None]:
        def do(typed: str) -> None:
            words = typed or self._dialogue.ask(what)
            self._change(lambda setting: change(setting, words))
            self.tell()

        return do

    def _nudge(self, typed: str, way: int = 1) -> None:
        if typed and not is_whole(typed):
            raise RequestError(f"“{typed[:20]}” is not a number of beats a minute")
        by = way * min(int(typed or 1), 1000)
        self._change(lambda setting: nudged(setting, self._drill.bpm, by), is_step=True)

    def _layers(self, typed: str) -> None:
        words = typed or self._dialogue.ask("Layers, such as beat, mine, theirs, resultant")
        drill = self._drill
        self._change(lambda now: with_layers_named(now, drill.open_score, drill.passage, words))

    def _along(self, typed: str) -> None:
        drill = self._drill
        on = (drill.open_score, drill.passage)
        self._change(
            lambda setting: (
                with_accompaniment(setting, *on, typed)
                if typed
                else with_others_toggled(setting, *on)
            )
        )
        print(_others(drill))

    def _go_on(self) -> None:
        before = self._drill.setting
        with self._lock:
            if not self._drill.go_on():
                raise RequestError(NO_LADDER_LEFT.split(":")[0])
            self._load_or_go_back(before)
        self.tell()

    def _undo(self) -> None:
        before = self._drill.setting
        with self._lock:
            if not self._drill.undo():
                raise RequestError(NOTHING_TO_UNDO.rstrip("."))
            self._load_or_go_back(before)
        self.tell()

    def _ring(self) -> None:
        self._with_bell = not self._with_bell
        print(f"The bell is {'on' if self._with_bell else 'off'}.")

    def _look(self) -> None:
        """Ring on each beat; keep what was played every few seconds."""
        kept, rung = time.monotonic(), None
        while not self._ended.wait(_LOOK_SECONDS if self._with_bell else 10 * _LOOK_SECONDS):
            with self._lock:
                self._drill.keep_going()
                position = self._drill.position() if self._drill.state == "playing" else None
            beat = position and (position.place.passes, position.time is None, position.beat)
            if self._with_bell and beat not in (None, rung) and sys.__stdout__ is not None:
                # Past the filter of what is printed, which lets no control character through.
                sys.__stdout__.write("\a")
                sys.__stdout__.flush()
            rung = beat
            if time.monotonic() - kept >= EVERY_SECONDS:
                kept = time.monotonic()
                self.keep_practice()


def _others(drill: Drill) -> str:
    setting = drill.setting
    if not setting.are_others_on:
        return "Nobody plays along."
    who = accompaniment_in_words(setting.accompaniment, drill.open_score.score, drill.passage.part)
    return f"Playing along: {who}."


def _without_keys(told: str) -> str:
    """A line of the app without its keys and signs."""
    for sign in ("■ ", "▶ ", "‖ ", " (p)", " · plan", " · a: again, counted in"):
        told = told.replace(sign, "")
    return told
