"""What a player is made to do, the same for every way to the ear.

Each scene plays on a fresh player and returns what was seen; the tests compare that
with what was recorded.
"""

from __future__ import annotations

from companion.errors import CompanionError
from companion.sound.miniaudio_card import MiniaudioCard
from tests.sound.music import Broken, noise
from tests.sound.stage import Scene, Seen, Stage

FIRST = noise(16000, seed=1)
SECOND = noise(20000, seed=3)
LOOP = noise(9600, seed=5, loop_from=2400)


def plays_once(stage: Stage) -> Seen:
    player = stage.player
    before = (player.state, player.heard())
    go_on = stage.playing_up_to(FIRST, 3000)
    started = player.state
    heard = [player.heard()]
    go_on()

    def ended() -> bool:
        heard.append(player.heard())
        return player.state == "ended"

    stage.until(ended)
    return {
        "before": before,
        "started": started,
        "in_order": heard == sorted(heard),
        "heard": player.heard(),
        "failure": player.failure,
    }


def starts_in_the_middle(stage: Stage) -> Seen:
    stage.player.start(FIRST, at=5000)
    at_once = stage.player.heard()
    stage.until(lambda: stage.player.state == "ended")
    return {"at_once": at_once >= 5000, "heard": stage.player.heard()}


def counts_in_once_and_goes_round(stage: Stage) -> Seen:
    stage.player.start(LOOP)
    stage.until(lambda: stage.player.heard() >= 24000)
    state = stage.player.state
    stage.player.stop()
    return {"state": state, "stopped": (stage.player.state, stage.player.heard())}


def swaps_to_the_same_music(stage: Stage) -> Seen:
    same = noise(16000, seed=1)
    go_on = stage.playing_up_to(FIRST, 3000)
    stage.player.swap(same, lambda frame: frame)
    go_on()
    stage.until(lambda: stage.player.state == "ended")
    source, frame = stage.player.hearing()
    return {"heard": frame, "hears_the_new": source is same}


def swaps_to_other_music(stage: Stage) -> Seen:
    left: list[int] = []

    def carry(frame: int) -> int:
        left.append(frame)
        return frame + 1000

    go_on = stage.playing_up_to(FIRST, 3000)
    stage.player.swap(SECOND, carry)
    go_on()
    stage.until(lambda: stage.player.state == "ended")
    return {"left": left, "heard": stage.player.heard(), "end": stage.player.hearing()[0] is SECOND}


def pauses_and_resumes(stage: Stage) -> Seen:
    player = stage.player
    go_on = stage.playing_up_to(SECOND, 3000)
    player.pause()
    paused = player.state
    go_on()
    stage.settled()
    held = [player.heard(), player.heard()]
    player.resume()
    resumed = player.state
    stage.until(lambda: player.state == "ended")
    return {"states": (paused, resumed), "held": held, "heard": player.heard()}


def swaps_while_paused(stage: Stage) -> Seen:
    player = stage.player
    go_on = stage.playing_up_to(FIRST, 3000)
    player.pause()
    go_on()
    stage.settled()
    held = player.heard()
    player.swap(SECOND, lambda frame: frame + 2000)
    stage.until(lambda: player.hearing()[0] is SECOND)
    seen = (player.state, player.heard() - held)
    player.resume()
    stage.until(lambda: player.state == "ended")
    return {"held": held, "state_and_step": seen, "heard": player.heard()}


def goes_on_after_the_end_when_swapped(stage: Stage) -> Seen:
    player = stage.player
    player.start(FIRST)
    stage.until(lambda: player.state == "ended")
    player.swap(SECOND, lambda frame: frame)
    state = player.state
    stage.until(lambda: player.state == "ended")
    return {"state": state, "heard": player.heard()}


def stops_and_starts_again(stage: Stage) -> Seen:
    player = stage.player
    go_on = stage.playing_up_to(SECOND, 3000)
    player.stop()
    stopped = (player.state, player.heard())
    go_on()
    player.start(FIRST)
    stage.until(lambda: player.state == "ended")
    return {"stopped": stopped, "heard": player.heard()}


def meets_a_carry_that_fails(stage: Stage) -> Seen:
    def carry(frame: int) -> int:
        raise LookupError("no such bar")

    go_on = stage.playing_up_to(FIRST, 3000)
    stage.player.swap(SECOND, carry)
    go_on()
    stage.until(lambda: stage.player.state == "failed")
    return {"failure": stage.player.failure}


def closes_for_good(stage: Stage) -> Seen:
    stage.player.start(LOOP)
    stage.player.close()
    stage.player.close()
    state, heard = stage.player.state, stage.player.heard()
    try:
        stage.player.start(LOOP)
    except CompanionError as refused:
        return {"state": state, "heard": heard, "refused": refused.sentence()}
    return {}


def meets_a_source_that_fails(stage: Stage) -> Seen:
    player = stage.player
    player.start(Broken(FIRST, at=6000))
    stage.until(lambda: player.state == "failed")
    failure = player.failure
    player.resume()
    player.swap(SECOND, lambda frame: frame)
    still = player.state
    player.start(FIRST)
    again = player.state
    stage.until(lambda: player.state == "ended")
    return {"failure": failure, "still": still, "again": again, "heard": player.heard()}


def loses_its_device(stage: Stage) -> Seen:
    player = stage.player
    player.start(LOOP)
    card = stage.card
    assert isinstance(card, MiniaudioCard)
    # Stopped behind the player's back the library reports what it reports when a
    # device is unplugged.
    card._device.stop()
    stage.until(lambda: player.state == "failed")
    failure = player.failure
    player.start(FIRST)
    stage.until(lambda: player.state == "ended")
    return {"failure": failure, "heard": player.heard()}


def on(backend: str) -> list[Scene]:
    """The scenes that make sense with a backend: silence reads nothing and has no device."""
    every: list[Scene] = [
        plays_once,
        starts_in_the_middle,
        counts_in_once_and_goes_round,
        swaps_to_the_same_music,
        swaps_to_other_music,
        pauses_and_resumes,
        swaps_while_paused,
        goes_on_after_the_end_when_swapped,
        stops_and_starts_again,
        meets_a_carry_that_fails,
        closes_for_good,
    ]
    if backend != "silent":
        every.append(meets_a_source_that_fails)
    if backend == "miniaudio":
        every.append(loses_its_device)
    return every
