"""A child process gives back what it writes, tells why it failed, and is gone afterwards."""

from __future__ import annotations

import json
import subprocess
import sys
import time
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


@pytest.mark.skipif(sys.platform != "linux", reason="no other system ends it")
def test_a_child_does_not_outlive_its_parent() -> None:
    child = "from companion.files.child_process import limit_child as l; l(); print(1, flush=True)"
    sleeping = f"{child}; import time; time.sleep(600)"
    parent = (
        "import subprocess, sys, time\n"
        f"child = subprocess.Popen([sys.executable, '-c', {sleeping!r}], stdout=subprocess.PIPE)\n"
        "child.stdout.readline()\n"
        "print(child.pid, flush=True)\n"
        "time.sleep(600)"
    )
    with subprocess.Popen([sys.executable, "-c", parent], stdout=subprocess.PIPE) as started:
        assert started.stdout is not None
        pid = int(started.stdout.readline())
        started.kill()
    while is_running(pid):
        time.sleep(0.01)


def is_running(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except (FileNotFoundError, ProcessLookupError):
        return False
    return state != "Z"
