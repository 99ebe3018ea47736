"""A child process gives back what it writes, tells why it failed, and is gone afterwards."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from companion.files.child_process import ChildFailed, TookTooLong, end, run, start

SLEEP = ("timeit", "-n1", "-r1", "import time; time.sleep(600)")


def test_a_child_reads_what_it_is_given_however_long() -> None:
    given = json.dumps(list(range(200_000))).encode()
    assert json.loads(run("json.tool", limit=60, given=given)) == list(range(200_000))


def test_a_child_that_is_slow_to_read_is_given_all_of_it() -> None:
    slow = "import sys, time; time.sleep(0.3); print(len(sys.stdin.read()))"
    given = b"x" * 1_000_000
    assert run("timeit", "-n1", "-r1", slow, limit=60, given=given).startswith(b"1000000")


def test_what_it_writes_to_its_errors_is_kept_with_the_failure() -> None:
    with pytest.raises(ChildFailed, match="Expecting") as caught:
        run("json.tool", limit=60, given=b"{")
    assert caught.value.status == 1


def test_it_is_ended_once_its_time_is_over() -> None:
    with pytest.raises(TookTooLong):
        run(*SLEEP, limit=0.2)


def test_it_is_ended_once_nobody_waits_any_more() -> None:
    class Stopped(Exception):
        pass

    def watch(seconds: float) -> None:
        if seconds > 0.1:
            raise Stopped

    with pytest.raises(Stopped):
        run(*SLEEP, limit=600, watch=watch)


@pytest.mark.parametrize("heads_group", [False, True])
def test_to_end_a_child_twice_does_no_harm(heads_group: bool) -> None:
    with start(*SLEEP, heads_group=heads_group) as child:
        end(child)
        end(child)
        assert child.returncode


@pytest.mark.skipif(sys.platform == "win32", reason="its home has other names")
def test_it_takes_a_folder_for_its_home(tmp_path: Path) -> None:
    where = "import pathlib; print(pathlib.Path.home(), pathlib.Path.cwd(), '')"
    told = run("timeit", "-n1", "-r1", where, limit=60, home=tmp_path).decode()
    assert told.startswith(f"{tmp_path} {tmp_path} ")
