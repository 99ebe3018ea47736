"""A handout played in a real browser: what sounds when, what moves, what can be reached."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from companion.click.plan.layers import Layer
from companion.click.plan.plan import place_in, planned, seconds_at, sounding_strokes
from companion.exercise.drill_on_score import DrillOnScore, click_settings_of_drill
from companion.files.folders import Folders
from companion.publish.handout.exercise_handout import hand_out_exercise
from companion.session.lanes import lane
from companion.session.open_exercise import check_exercise
from tests.publish.handout.browser import Browser, browsing, needs_browser

pytestmark = needs_browser
RATE = 48000

EXERCISE = '''\
format = 1
title = "Three over two"

[[drill]]
title = "Climbing"
pattern = """
Right: 2/4 e3 e3 e3 e3 e3 e3 | e3 e3 e3 q
Left:  2/4 e e e e | e e q
"""
tempo = "60 to 72 by 5, twice each"
layers = "beat, mine, theirs"
silences = "every 3 bars"
fades = "theirs out over 4"

[[drill]]
title = "Ramp"
pattern = """
Flute: 2/4 A4e re B4e re | rq A4e C5e
Horn:  6/8 A3e A3e A3e A3q. | A3q. A3q.
"""
tempo = "60 to 90 over 3 times"
layers = "beat, division"
'''


@dataclass(frozen=True)
class Made:
    """A page and what its drills are by the plan."""

    path: Path
    drills: tuple[DrillOnScore, ...]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    home = tmp_path_factory.mktemp("home")
    folders = Folders(home / "data", home / "cache")
    (home / "three.toml").write_text(EXERCISE)
    hand_out_exercise(home / "three.toml", home / "page.html", folders)
    return Made(home / "page.html", check_exercise(home / "three.toml", folders).drills)


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with browsing(tmp_path_factory.mktemp("profile")) as opened:
        yield opened


STRUCK = """
const [number, setting, seconds, rate] = arguments[0];
for (const name of ["layers", "parts"]) if (setting[name]) setting[name] = new Set(setting[name]);
players[number].rendered(setting, seconds, rate).then(([left, right]) => {
  // Where something begins after a hundredth of a second of silence.
  const found = [];
  let quiet = rate;
  left.forEach((sample, at) => {
    const isHeard = Math.abs(sample) + Math.abs(right[at]) > 1e-5;
    if (isHeard && quiet > rate / 100) found.push(at);
    quiet = isHeard ? 0 : quiet + 1;
  });
  done(found);
}, problem => done(String(problem)));
"""
"""Renders a passage in the browser's own offline audio; answers with the samples struck."""


def struck(browser: Browser, number: int, seconds: float, **setting: Any) -> list[float]:  # noqa: ANN401
    found = browser.wait_for(STRUCK, [number, setting, seconds, RATE])
    assert isinstance(found, list), found
    return [at / RATE for at in found]


def planned_seconds(drill: DrillOnScore, layer: Layer, *, is_counted: bool) -> list[float]:
    """When a layer strikes by the exercise's own click; without a count-in, from where it ends."""
    plan = planned(drill.passage, drill.conflicts, click_settings_of_drill(drill))
    begin = 0 if is_counted else plan.timetable.begin(0)
    return [
        float(seconds_at(plan, stroke.at) - begin)
        for stroke in sounding_strokes(plan)
        if stroke.layer is layer and (is_counted or place_in(plan, stroke.at)[0] >= 0)
    ]


@pytest.mark.parametrize(
    ("number", "layer"),
    [
        *((0, layer) for layer in (Layer.BEAT, Layer.MINE, Layer.THEIRS)),
        *((1, layer) for layer in (Layer.BEAT, Layer.DIVISION)),
    ],
)
def test_every_stroke_of_the_exercise_falls_within_a_millisecond_of_the_plan(
    browser: Browser, made: Made, number: int, layer: Layer
) -> None:
    """Ladder, ramp, silences and fades, to the last time through; the plan is exact."""
    browser.open(made.path)
    at = browser.ask(f"return page.lessons[{number}].sound.layers.indexOf('{layer.value}')")
    is_counted = layer is Layer.BEAT
    expected = planned_seconds(made.drills[number], layer, is_counted=is_counted)
    heard = struck(browser, number, expected[-1] + 2, layers=[at], parts=[], countIn=is_counted)
    assert len(heard) == len(expected)
    late = [one - exact for one, exact in zip(heard, expected, strict=True)]
    assert max(map(abs, late)) < 0.001


@pytest.mark.parametrize("part", [0, 1])
def test_the_notes_of_each_part_begin_where_they_stand(
    browser: Browser, made: Made, part: int
) -> None:
    # Flute and horn of the second drill at 60, read from its pattern by hand: eighths of 2/4
    # and of 6/8, rests before those that are looked at.
    browser.open(made.path)
    begun = ([0, 1, 3], [0])[part]
    heard = struck(browser, 1, 4, layers=[], parts=[part], countIn=False, bpm=60)
    assert heard == pytest.approx(begun, abs=0.001)


def test_fewer_bars_again_and_again_at_any_tempo(browser: Browser, made: Made) -> None:
    browser.open(made.path)
    wanted = {"layers": [0], "parts": [], "countIn": False, "bpm": 90, "silences": False}
    heard = struck(browser, 0, 6, **wanted, **{"from": 1, "to": 1, "again": True})
    assert heard == pytest.approx([beat * 60 / 90 for beat in range(9)], abs=0.001)


ON_LANES = """
const line = [...players[0].section.querySelectorAll('.line')]
  .find(one => one.querySelector('.place').getAttribute('visibility') === 'visible');
if (!line) return null;
const drawn = line.querySelector('.place').getBoundingClientRect();
const box = players[0].section.querySelector('.lanes').getBoundingClientRect();
const across = (drawn.left + drawn.right) / 2 - box.left;
return [across / box.width, [...document.querySelectorAll('.notes .on')].length];
"""


def test_the_place_moves_along_lanes_and_notes_as_the_music_does(
    browser: Browser, made: Made
) -> None:
    browser.open(made.path)
    places = []
    for beat in (0, 1, 2, 3, 3.5):  # Both bars of 2/4 are on one line.
        browser.ask(f"players[0].show({beat}, false)")
        places.append(browser.ask(ON_LANES))
    steps = [later[0] - places[0][0] for later in places]
    assert steps == pytest.approx([beat / 4 * steps[3] / 0.75 for beat in (0, 1, 2, 3, 3.5)])
    assert steps[3] / 0.75 == pytest.approx(0.96, abs=0.02)  # Nearly the whole width.
    assert [on for _, on in places] == [2, 2, 2, 2, 2]  # A note of each hand.
    browser.ask("players[0].show(0, true)")
    assert browser.ask(ON_LANES) is None


def test_the_notes_of_the_page_sound_when_the_score_says(browser: Browser, made: Made) -> None:
    """The engraver's own times, bar by bar, beside those of the lanes, for parts in one meter
    and in two."""
    for number, drill in enumerate(made.drills):
        browser.open(made.path)
        begun = browser.ask(f"return page.lessons[{number}].engraved.map(note => note[1])")
        ids = browser.ask(
            f"return page.lessons[{number}].engraved.filter(([id]) => "
            "!document.getElementById(id)).length"
        )
        assert ids == 0
        parts = range(len(drill.clock.places))
        struck_there = [
            float(note.at - drill.passage.start)
            for part in parts
            for note in lane(drill.clock, part, drill.passage.bars).strokes
        ]
        assert sorted(begun) == pytest.approx(sorted(struck_there))


def test_both_hands_are_engraved_and_only_the_bars_of_the_drill(
    browser: Browser, made: Made
) -> None:
    browser.open(made.path)
    measures = browser.ask(
        "return players.map(one => [...one.section.querySelectorAll('svg.notes')]"
        ".map(svg => [svg.querySelectorAll('.measure').length, "
        "svg.querySelectorAll('.staff').length]))"
    )
    # Two staves of two bars; two meters stand apart, each with its own two bars.
    assert measures == [[[2, 4]], [[2, 2], [2, 2]]]


STATE = "return document.querySelector('.state').textContent"
UNTIL = """
const [wanted] = arguments;
const state = document.querySelector('.state');
const look = () => state.textContent.includes(wanted) && (watch.disconnect(), done(true));
const watch = new MutationObserver(look);
watch.observe(state, {childList: true, characterData: true, subtree: true});
look();
"""


def test_it_plays_in_the_page_by_keyboard_alone(browser: Browser, made: Made) -> None:
    browser.open(made.path)
    browser.ask("document.querySelector('.play').focus()")
    browser.press("ENTER")
    assert browser.ask("return document.activeElement.textContent") == "Stop"
    assert browser.wait_for(UNTIL, "Time 1 of 8, quarter = 60.")
    browser.press("ESCAPE")
    assert browser.ask(STATE) == "Stopped."
    assert browser.ask("return document.activeElement.textContent") == "Play"
    # Faster, two bars at a time: it goes on to the next time through, and to the end.
    browser.ask(
        "const own = players[0].find('.own'); own.checked = true;"
        "players[0].find('.bpm').value = 400;"
        "players[0].find('.count-in').checked = false; players[0].restart()"
    )
    assert browser.wait_for(UNTIL, "Time 2 of 8, quarter = 400.")
    assert browser.wait_for(UNTIL, "Played to the end.")
    assert browser.ask("return document.querySelector('.noted-times').value") == "8"
    assert browser.ask("return document.querySelector('.noted-bpm').value") == "400"


def test_a_changed_layer_goes_on_from_the_same_place(browser: Browser, made: Made) -> None:
    browser.open(made.path)
    browser.ask("players[0].find('.count-in').checked = false; players[0].play()")
    browser.wait_for(UNTIL, "Time 1 of 8")
    apart = browser.ask(
        "const one = players[0], before = one.line.place(one.now());"
        "one.find('.layer').click();"
        "const after = one.line.place(one.now()); one.stop();"
        "return [before.number, after.number, after.at - before.at]"
    )
    # It may be a little behind: what is new begins a moment later.
    assert apart[:2] == [0, 0] and -0.2 < apart[2] < 0.2
    assert browser.ask("return [...players[0].setting().layers]") != [0, 1, 2]


def test_silence_without_end_holds_nothing_up(browser: Browser, made: Made) -> None:
    browser.open(made.path)
    wanted = {"layers": [], "parts": [], "countIn": False, "again": True}
    assert struck(browser, 0, 20, **wanted) == []


def test_only_one_player_sounds_at_a_time(browser: Browser, made: Made) -> None:
    browser.open(made.path)
    browser.ask("players[0].play(); players[1].play()")
    told = browser.ask("return players.map(one => one.button.textContent)")
    browser.ask("players[1].stop()")
    assert told == ["Play", "Stop"]


@pytest.mark.parametrize("width", [360, 390])
def test_on_a_telephone_nothing_runs_off_and_a_thumb_hits_every_control(
    browser: Browser, made: Made, width: int
) -> None:
    with browser.narrow(width):
        browser.open(made.path)
        assert browser.ask("return document.documentElement.scrollWidth") == width
        small = browser.ask(
            "return [...document.querySelectorAll('button, label')]"
            ".map(one => one.getBoundingClientRect()).filter(box => box.height < 44).length"
        )
        # 44 CSS pixels: WCAG 2.2, success criterion 2.5.5 (enhanced target size).
        assert small == 0
        browser.ask("players[0].section.querySelectorAll('.line')[0].scrollIntoView()")
        tapped = browser.ask(
            "const box = players[0].section.querySelector('.line').getBoundingClientRect();"
            "const event = new MouseEvent('click', {bubbles: true,"
            " clientX: box.left + box.width * .75, clientY: box.top + 20});"
            "players[0].section.querySelector('.line *').dispatchEvent(event);"
            "return players[0].find('.from').value"
        )
        assert tapped == "1"  # The second bar.


def test_every_control_has_a_name(browser: Browser, made: Made) -> None:
    browser.open(made.path)
    unnamed = browser.ask(
        "return [...document.querySelectorAll('input, select, button')].filter(one => !("
        "one.ariaLabel || one.textContent.trim() || [...one.labels].some(l => l.textContent.trim())"
        ")).length"
    )
    assert unnamed == 0
    assert browser.ask("return document.querySelectorAll('[role=status]').length") == 5
    assert (
        browser.ask("return document.querySelectorAll('fieldset:not(:has(> legend))').length") == 0
    )
