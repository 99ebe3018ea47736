"""Ctrl+C waits for the end of a call that it would harm, and then counts."""

from __future__ import annotations

import signal
from threading import Thread

import pytest

from companion.files.interrupt import interrupt_after


def test_it_counts_at_the_end_of_the_block() -> None:
    done = []
    with pytest.raises(KeyboardInterrupt), interrupt_after():
        signal.raise_signal(signal.SIGINT)
        done.append("all of it")
    assert done == ["all of it"]
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_another_thread_is_never_interrupted() -> None:
    before = signal.getsignal(signal.SIGINT)
    seen = []

    def work() -> None:
        with interrupt_after():
            seen.append(signal.getsignal(signal.SIGINT))

    thread = Thread(target=work)
    thread.start()
    thread.join()
    assert seen == [before]
