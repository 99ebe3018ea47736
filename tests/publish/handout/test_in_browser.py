"""A handout opened, heard and printed in a real browser."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.files.folders import Folders, demo_score
from companion.publish.handout.handout import HandoutRequest, hand_out_score, write_handout
from companion.publish.handout.lesson import handout_of, lesson_of
from companion.session.open_score import open_for_practice
from tests.publish.handout.browser import Browser, browsing, needs_browser

pytestmark = needs_browser
VIOLA = 2

PLAY = """
const sounds = [...document.querySelectorAll('audio')];
Promise.all(sounds.map(sound => new Promise((heard, failed) => {
  sound.muted = true;
  sound.addEventListener('timeupdate', () => {
    if (sound.currentTime > 0) { sound.pause(); heard([sound.duration, sound.currentTime]); }
  });
  sound.addEventListener('error', () => failed(sound.error.message));
  sound.play().catch(failed);
}))).then(done, problem => done(String(problem)));
"""
"""Plays every sound until its time has advanced; answers with [duration, time] of each."""

WITHOUT_LABEL = """
const named = one => one.ariaLabel || one.textContent.trim();
return [...document.querySelectorAll('audio, svg[role=img], a, th, h1, h2, h3, h4')]
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
    played = browser.wait_for(PLAY)
    assert isinstance(played, list) and len(played) == 9, played
    assert all(duration > 4 and heard > 0 for duration, heard in played)
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
    assert len(sizes) == 2
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
