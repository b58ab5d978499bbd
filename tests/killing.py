"""Processes that are killed while they write, to show what is lost."""

import os
import random
import signal
import sqlite3
import time

import pytest
from nightly import NIGHTLY

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system starts no process as a copy of another")

TIMES = 200 if NIGHTLY else 25
"""How often a writer is killed: as often as it takes to be sure in the nightly run."""


def spawned(work, *args):
    child = os.fork()
    if child == 0:
        ended = 1
        try:
            work(*args)
            ended = 0
        finally:
            os._exit(ended)
    return child


def killed_again_and_again(path, times, work, *, opened, first):
    """What was reported done before a kill: `work(record, attempt)` yields it, in processes killed at any moment.

    `opened(path)` opens the file, and `first(record)` writes one entry, to see how long that takes.
    """
    reported, chance = [], random.Random(7)
    start = time.perf_counter()
    first(opened(path.with_name("slow.db")))
    one = time.perf_counter() - start  # how long this disk takes

    def until_killed(pipe, attempt):
        os.write(pipe, b"begun\n")
        for done in work(opened(path), attempt):
            os.write(pipe, f"{done}\n".encode())

    for attempt in range(times):
        out, into = os.pipe()
        child = spawned(until_killed, into, attempt)
        os.close(into)
        with os.fdopen(out, "rb", buffering=0) as heard:
            heard.read(1)
            time.sleep(chance.uniform(0.0, 6.0 * one))  # long enough on a busy machine too
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            reported += heard.read().decode().split("\n")[1:-1]
        if attempt % 20 == 0:
            opened(path)  # it opens
    with sqlite3.connect(path) as file:
        assert file.execute("pragma integrity_check").fetchone()[0] == "ok"
    file.close()
    return reported
