"""A handout opened, heard and printed in a real browser."""

import json
from collections.abc import Iterator
from html import escape
from pathlib import Path

import pytest

from companion.files.folders import Folders, demo_score
from companion.publish.handout.exercise_handout import hand_out_exercise
from companion.publish.handout.handout import HandoutRequest, hand_out_score, write_handout
from companion.publish.handout.lesson import handout_of, lesson_of
from companion.session.open_score import open_for_practice
from tests.part.pages import page
from tests.publish.handout.browser import Browser, browsing, needs_browser

pytestmark = needs_browser
VIOLA = 2

PLAY = """
const state = document.querySelector('.state');
const look = () => state.textContent.startsWith('Time 1') && done(context.state);
new MutationObserver(look).observe(state, {childList: true});
document.querySelector('.play').click();
"""
"""Plays until the music has begun after the count-in; answers with the audio clock's state."""

LOUDEST = """
const all = (count) => [...Array(count).keys()];
const { layers, seats } = page.lessons[0].sound;
const one = (name, at) => players[0].rendered(
  {layers: new Set(), parts: new Set(), countIn: false, [name]: new Set([at])}, 8, 8000
).then(([left, right]) => [...left, ...right].reduce((one, other) => Math.max(one, other)));
Promise.all([
  ...all(layers.length).map(at => one('layers', at)),
  ...all(seats.length).map(at => one('parts', at)),
]).then(done, problem => done(String(problem)));
"""
"""Renders each layer and each part alone; answers with the loudest sample of each."""

WITHOUT_LABEL = """
const named = one => one.ariaLabel || one.textContent.trim();
return [...document.querySelectorAll('section, svg[role=img], a, th, button, h1, h2, h3, h4')]
  .filter(one => !named(one)).map(one => one.outerHTML.slice(0, 80));
"""
OVERFLOWING = "return document.documentElement.scrollWidth > window.innerWidth"
DRAWN = """
return [...document.querySelectorAll('svg[role=img]')].map(one => {
  const box = one.getBoundingClientRect(); return [box.width, box.height];
});
"""
TWICE = """
const all = [...document.querySelectorAll('[id]')].map(one => one.id);
return all.filter((one, at) => all.indexOf(one) !== at);
"""


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> Folders:
    home = tmp_path_factory.mktemp("home")
    return Folders(home / "data", home / "cache")


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with browsing(tmp_path_factory.mktemp("profile")) as opened:
        yield opened


@pytest.fixture(scope="module")
def handout(folders: Folders, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "viola.html"
    open_score = open_for_practice(demo_score(), folders)
    write_handout(handout_of(lesson_of(open_score, VIOLA, (14, 15))), path, folders)
    return path


def test_every_sound_plays_and_nothing_is_asked_of_the_network(
    browser: Browser, handout: Path
) -> None:
    browser.fetched()
    browser.open(handout)
    assert browser.wait_for(PLAY) == "running"
    loudest = browser.wait_for(LOUDEST)
    assert isinstance(loudest, list) and len(loudest) == 4 + 4, loudest
    assert all(0.005 < peak < 1 for peak in loudest)
    # The browser's own pages ask for pictures of its own now and then.
    fetched = [one for one in browser.fetched() if not one.startswith("chrome://")]
    assert fetched[0] == handout.as_uri()
    assert all(address.startswith("data:") for address in fetched[1:])


def test_everything_has_a_name_and_no_name_is_given_twice(browser: Browser, handout: Path) -> None:
    browser.open(handout)
    assert browser.ask(WITHOUT_LABEL) == []
    assert browser.ask(TWICE) == []


def test_the_pictures_are_drawn_and_nothing_runs_off_the_screen(
    browser: Browser, handout: Path
) -> None:
    browser.open(handout)
    sizes = browser.ask(DRAWN)
    assert len(sizes) == 4
    assert all(width > 300 and 50 < height < width for width, height in sizes)
    assert browser.ask(OVERFLOWING) is False


def test_it_is_printed_on_paper(browser: Browser, handout: Path) -> None:
    browser.open(handout)
    printed = browser.printed()
    assert printed.startswith(b"%PDF-")
    assert 1 <= printed.count(b"/Type /Page\n") <= 4


def test_the_page_of_all_parts_leads_to_each(
    browser: Browser, folders: Folders, tmp_path: Path
) -> None:
    open_score = open_for_practice(demo_score(), folders)
    hand_out_score(open_score, HandoutRequest(bars="13"), tmp_path, folders)
    browser.open(tmp_path / "index.html")
    browser.ask("document.querySelectorAll('a')[2].click()")
    browser.open(Path(browser.ask("return decodeURI(location.pathname)")))
    assert browser.ask("return document.querySelector('.lead').textContent") == ("Viola, bar 13")


ODD = "</script><script>window.ran = 1</script><img src=x onerror='window.ran = 2'>"
HOSTILE = f'''
format = 1
title = """{ODD}"""
for = """{ODD}"""
instructions = """{ODD} **<b onclick=alert(1)>bold</b>**"""

[[drill]]
title = """{ODD}"""
score = "odd.musicxml"
layers = "beat, rhythm:2"
silences = "every 2 bars"
listen = """{ODD}"""
'''
RUN = "return window.ran === undefined"


def test_what_a_teacher_writes_runs_nothing(
    browser: Browser, folders: Folders, tmp_path: Path
) -> None:
    """Title, instructions, names in the score and the student's own name, in a browser that
    plays, notes and saves them; then what the page's policy itself lets run."""
    odd = page(Flute="6/8 A4q. B4q. | A4h.", Horn="2/4 C4q D4q | C4h")
    for name in (b"Flute", b"Horn"):
        odd = odd.replace(b">" + name + b"<", b">" + name + escape(ODD).encode() + b"<")
    (tmp_path / "odd.musicxml").write_bytes(odd)
    (tmp_path / "odd.toml").write_text(HOSTILE)
    (made,) = hand_out_exercise(tmp_path / "odd.toml", tmp_path / "odd.html", folders)
    browser.open(made.path)
    assert browser.ask("return document.querySelector('h1').textContent") == ODD
    assert browser.ask("return document.body.textContent.includes('Horn</script>')")
    browser.wait_for(PLAY)
    browser.ask(
        f"document.querySelector('.student').value = {json.dumps(ODD)};"
        "document.querySelector('.outcome').checked = true;"
        "document.querySelector('.noting button').click(); players[0].stop()"
    )
    assert browser.ask("return document.querySelector('.attempts').textContent.includes('onerror')")
    assert browser.ask("return document.querySelectorAll('img, script').length") == 2
    assert browser.ask(RUN)
    browser.ask(
        "const added = document.createElement('script'); added.textContent = 'window.ran = 3';"
        "document.body.append(added);"
        "document.body.insertAdjacentHTML('beforeend', '<p onclick=\"window.ran = 4\">x</p>');"
        "document.querySelector('p:last-child').click()"
    )
    assert browser.ask(RUN)
