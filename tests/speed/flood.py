"""The phones' server under a flood: how late the window's tick is, and 10,000 connections: `python -m tests.speed.flood`.

The window and its server are real; who floods is a process of its own on the same cores, first as any other program,
then with what nobody else wants of them (on a network it would be another machine, which takes none). How late a tick is says as much of the
cores as of the window; so the processor time that the window's thread took from one tick to the next is told beside it,
and all of it is measured in turn with the flood away, there and away again.
"""

import argparse
import contextlib
import json
import os
import resource
import select
import socket
import subprocess
import sys
import tempfile
import threading
import time

import psutil

from tests.screens import HOMES
from tests.speed.phones import Shoot, client_of, flood, percentile

REST_S, FLOOD_S, MANY = 20.0, 20.0, 10_000
ADDRESSES = 200
NO_PORT_YET = 24
"""IP_BIND_ADDRESS_NO_PORT of Linux (ip(7)): else each bind looks through all ports that are taken."""
AFTER_S = 20.0
LEFT_OVER = ["chrt", "--idle", "0"]
"""Runs only where nothing else would (SCHED_IDLE of Linux, sched(7))."""


# what the process of who floods does


def many(spec):
    """Open connections from several addresses as fast as they come, hold what is not ended, and say what became of them."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (max(min(hard, MANY + 500), soft), hard))
    name, _, port = client_of(spec["phone"]).host.rpartition(":")
    held, refused, began = [], 0, time.monotonic()
    for number in range(spec["many"]):
        line = socket.socket()
        line.settimeout(10)
        try:
            line.setsockopt(socket.IPPROTO_IP, NO_PORT_YET, 1)
            line.bind((f"127.0.1.{1 + number % spec['addresses']}", 0))
            line.connect((name, int(port)))
            held.append(line)
        except OSError:
            refused += 1
            line.close()
    opened_s = time.monotonic() - began
    print(json.dumps({"opened": len(held), "refused": refused, "seconds": opened_s, "open": still(held)}), flush=True)
    time.sleep(spec["hold_s"])
    print(json.dumps({"open": still(held)}), flush=True)


def still(held):
    """Return how many connections the other end has not let go."""
    poll, found = select.poll(), 0
    for line in held:
        poll.register(line, select.POLLIN)
    ready = {number for number, _ in poll.poll(0)}
    for line in held:
        if line.fileno() not in ready:
            found += 1
            continue
        line.setblocking(False)
        with contextlib.suppress(BlockingIOError, OSError):
            found += line.recv(1) != b""
    return found


def phone(spec):
    """Ask for the time over a connection that is kept and over a new one, in turn, until the input ends."""
    client, found = client_of(spec["phone"]), {"kept": [], "new": [], "failed": 0}
    over = threading.Event()
    threading.Thread(target=lambda: (sys.stdin.read(), over.set()), daemon=True).start()
    line = client.connect()
    while not over.wait(0.25):
        for what in ("kept", "new"):
            began = time.monotonic()
            try:
                status, _ = client.ask("POST", "/clock", {}, line=line if what == "kept" else None)
                assert status == 200, status
                found[what].append(time.monotonic() - began)
            except (OSError, AssertionError):
                found["failed"] += 1
                if what == "kept":
                    line.close()
                    line = client.connect()
    print(json.dumps(found), flush=True)


# what the window's process does


class Ticks:
    """Notes from one tick of the window to the next: the time, and what the window's thread took of the processor."""

    def __init__(self, shoot):
        self.shoot = shoot
        shoot.timer.timeout.connect(self.tick)
        self.begin()

    def begin(self):
        self.late, self.own = [], []
        self.last, self.taken = time.monotonic(), time.thread_time()

    def tick(self):
        now, taken = time.monotonic(), time.thread_time()
        self.late.append(now - self.last)
        self.own.append(taken - self.taken)
        self.last, self.taken = now, taken

    def told(self):
        late, own = self.late, self.own
        return (
            f"tick held {percentile(late, 0.99) * 1000:.0f} ms 99 of 100, at most {max(late) * 1000:.0f} ms, "
            f"{sum(one > 0.05 for one in late)} of {len(late)} over 50 ms; the window's own processor time "
            f"between ticks at most {max(own) * 1000:.0f} ms"
        )


def server_of(shoot):
    return psutil.Process(shoot.server._process.processId())


def taken(process):
    found = process.cpu_times()
    return found.user + found.system


def begun(alone=False, left_over=False, **spec):
    """Begin a part of this in a process; `alone` in a session of its own, `left_over` with what nobody else wants."""
    line = [*LEFT_OVER * left_over, sys.executable, "-m", "tests.speed.flood", "--as", json.dumps(spec)]
    return subprocess.Popen(line, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, start_new_session=alone)


def ended(shoot, process):
    """Wait for the end of a process while the window works; return the lines it wrote."""
    done = []
    threading.Thread(target=lambda: done.append(process.communicate()[0]), daemon=True).start()
    shoot.until(lambda: bool(done))
    return [json.loads(line) for line in done[0].splitlines()]


def floods(shoot, ticks):
    """Print the tick without a flood and with one in turn, from processes that give way less and more."""
    turns = (
        (False, False, "beside the window"),
        (True, False, "of a session of its own"),
        (True, True, "that takes only what is left of the cores, as another machine would"),
    )
    for alone, left_over, who in turns:
        for there in (False, True):
            ticks.begin()
            server, before, began = server_of(shoot), taken(server_of(shoot)), time.monotonic()
            words = "no flood"
            if there:
                spec = {"do": "flood", "phone": shoot.phones[0], "seconds": FLOOD_S}
                (asked,) = ended(shoot, begun(alone, left_over, **spec))
                words = f"flooded by a process {who}, {asked} connections and requests"
            else:
                shoot.rest(REST_S)
            share = (taken(server) - before) / (time.monotonic() - began) * 100.0
            print(f"{words}: {ticks.told()}; server {share:.0f} % of a core; load {os.getloadavg()[0]:.1f}", flush=True)


def connections(shoot, ticks, addresses):
    """Print what becomes of many connections, and of a phone meanwhile."""
    server, window = server_of(shoot), psutil.Process()
    before = [one.memory_info().rss / 2**20 for one in (server, window)]
    files, most = server.num_fds(), [0.0, 0.0, 0]
    asks = begun(do="phone", phone=shoot.phones[1])
    shoot.rest(3.0)
    ticks.begin()

    def look():
        now = [*(one.memory_info().rss / 2**20 for one in (server, window)), server.num_fds()]
        most[:] = [max(one, other) for one, other in zip(most, now, strict=True)]

    process = begun(do="many", phone=shoot.phones[0], many=MANY, addresses=addresses, hold_s=AFTER_S)
    lines, done = [], []
    threading.Thread(target=lambda: (lines.extend(process.stdout), done.append(True)), daemon=True).start()
    while not done:
        look()
        shoot.rest(0.2)
    process.stdin.close()
    process.wait()
    shoot.rest(3.0)
    asks.stdin.close()
    (found,) = [json.loads(line) for line in asks.stdout]
    asks.wait()
    first, last = map(json.loads, lines)
    print(
        f"{MANY} connections from {addresses} addresses in {first['seconds']:.1f} s: {first['opened']} taken by the "
        f"system, {first['refused']} not, {first['open']} open then, {last['open']} {AFTER_S:.0f} s later; {ticks.told()}; "
        f"load {os.getloadavg()[0]:.1f}"
    )
    for what in ("kept", "new"):
        print(
            f"  a paired phone meanwhile, {what} connections: {len(found[what])} answers, median "
            f"{percentile(found[what], 0.5) * 1000:.0f} ms, at most {max(found[what]) * 1000:.0f} ms"
        )
    print(f"  not answered: {found['failed']}")
    after = [one.memory_info().rss / 2**20 for one in (server, window)]
    for index, name in enumerate(("server", "window")):
        print(
            f"  memory of the {name} {before[index]:.0f} MiB, at most {most[index]:.0f}, after {after[index]:.0f} MiB"
        )
    print(f"  files of the server {files}, at most {most[2]}, after {server.num_fds()}", flush=True)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--as", dest="as_other", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.as_other:
        spec = json.loads(options.as_other)
        match spec["do"]:
            case "flood":
                print(json.dumps(flood(client_of(spec["phone"]), spec["seconds"])))
            case "many":
                many(spec)
            case "phone":
                phone(spec)
        return
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as home:
        for name in HOMES:
            os.environ[name] = home
        shoot = Shoot(home)
        ticks = Ticks(shoot)
        floods(shoot, ticks)
        for addresses in (1, ADDRESSES):
            connections(shoot, ticks, addresses)
        shoot.window.close_session()
        os._exit(0)


if __name__ == "__main__":
    main()
