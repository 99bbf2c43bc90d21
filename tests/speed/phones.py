"""Phones before the real window: tap to on disk, news, a flood, kills and cuts, and how late the window's tick is.

`python -m tests.speed.phones --minutes 1` plays eight phones in a process of their own, each making a call every few
seconds through cuts of the network; every call is sent until it is answered. With `--browsers 2` two of them are pages in
a browser, and a person who taps and answers what is asked. What is measured is printed. How late the
tick is says more of the machine than of phones while other work goes on; so the same without phones is printed, and for
how long of its own processor time the window was with phones in one piece.
"""

import argparse
import contextlib
import http.client
import json
import os
import random
import secrets
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

from tests.screens import HOMES

PHONES, CUTS, EVERY_S, TAPS, NEWS, FLOOD_S, KILLS = 8, 50, 4.0, 300, 60, 10.0, 5
FLOODER = "127.0.0.9"


def percentile(values, share):
    found = sorted(values)
    return found[min(int(share * len(found)), len(found) - 1)]


# what the phones' process does


def client_of(spec):
    from tests.phones.served.client import Client

    client = Client(spec["link"])
    client.token = spec["token"]
    return client


def taps(client, many):
    """Return the seconds from tap to on disk, one connection kept as a browser does."""
    line, found = client.connect(), []
    for turn in range(many):
        time.sleep(0.27)
        began = time.monotonic()
        fields = {"id": secrets.token_hex(16), **tub(turn, "lemon")}
        _, answer = client.ask("POST", "/call", fields | {"at": steady()}, {"Origin": f"https://{client.host}"}, line)
        if answer.get("on_disk"):
            found.append(time.monotonic() - began)
    line.close()
    return found


def tub(turn, flavour):
    """Return a call that leaves nothing behind: a tub out, or back."""
    return {"kind": "tub_back" if turn % 2 else "tub_out", "fields": {"flavour": flavour}}


def steady():
    from studiotimer.session.clock import steady_seconds

    return steady_seconds()


def hears(client, until):
    """Return when each change of a lock was heard of, by the steady clock, and to what."""
    line, number, found = client.connect(), -1, []
    while time.monotonic() < until:
        _, news = client.ask("GET", f"/news?after={number}", line=line)
        number = news.get("number", number)
        if "locks" in news and (not found or found[-1][1] != news["locks"]["light"]):
            found.append((steady(), news["locks"]["light"]))
    line.close()
    return found


def shift(client, seconds, cuts, luck):
    """Make calls through cuts; return the entry of each id that was answered as on disk."""
    end, cut_at = time.monotonic() + seconds, sorted(luck.uniform(0, seconds) for _ in range(cuts))
    began, line, answered = time.monotonic(), client.connect(), {}
    while time.monotonic() < end:
        name = secrets.token_hex(16)
        body = {"id": name, **tub(len(answered), luck.choice(("lemon", "hazelnut", "pistachio"))), "at": steady()}
        while name not in answered:
            if cut_at and time.monotonic() - began > cut_at[0]:
                cut_at.pop(0)
                with contextlib.suppress(OSError):
                    line.request("POST", "/call", json.dumps(body), heads(client))  # sent, its answer never read
                line.close()
                time.sleep(luck.uniform(0.0, 1.0))
                line = client.connect()
            try:
                _, answer = client.ask("POST", "/call", body, heads(client), line)
                if answer.get("on_disk"):
                    answered[name] = answer["entry"]
                    break
            except (OSError, http.client.HTTPException):
                line.close()
                line = client.connect()
            time.sleep(0.3)
        time.sleep(luck.uniform(0.5, 1.5) * EVERY_S)
    line.close()
    return answered


def heads(client):
    return {
        "Host": client.host, "Origin": f"https://{client.host}", "Content-Type": "application/json",
        "Authorization": f"Bearer {client.token}",
    }  # fmt: skip


def flood(client, seconds):
    """Connect and ask as fast as this process can, from an address of its own; return how often."""
    end, count = time.monotonic() + seconds, [0]
    name, _, port = client.host.rpartition(":")

    def hammer():
        from tests.phones.served.client import context

        while time.monotonic() < end:
            with contextlib.suppress(OSError), socket.socket() as line:
                line.settimeout(2)
                line.bind((FLOODER, 0))
                line.connect((name, int(port)))
                count[0] += 1
                secure = context().wrap_socket(line, server_hostname=name)
                for _ in range(50):
                    secure.sendall(b"GET /news HTTP/1.1\r\nHost: x\r\n\r\n")
                    secure.recv(65536)
                    count[0] += 1

    threads = [threading.Thread(target=hammer) for _ in range(40)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return count[0]


def as_phones(spec):
    clients = [client_of(one) for one in spec["phones"]]
    match spec["do"]:
        case "taps":
            return taps(clients[0], spec["many"])
        case "hears":
            return hears(clients[0], time.monotonic() + spec["seconds"])
        case "flood":
            return flood(clients[0], spec["seconds"])
        case "browse":
            from tests.phones.soak import pages

            return pages(spec["phones"], spec["seconds"], spec["cuts"])
    found, threads = {}, []
    for number, client in enumerate(clients):
        luck = random.Random(number)
        cuts = spec["cuts"] // len(clients) + (number < spec["cuts"] % len(clients))
        thread = threading.Thread(
            target=lambda one=client, many=cuts, chance=luck: found.update(shift(one, spec["seconds"], many, chance))
        )
        threads.append(thread)
        thread.start()
    for thread in threads:
        thread.join()
    return found


# what the window's process does


class Shoot:
    """The real window on a new session, its phones paired."""

    def __init__(self, home):
        from PySide6.QtCore import QTimer

        from studiotimer.phones.addresses import Address
        from studiotimer.session.live import new_session
        from studiotimer.window import faults
        from studiotimer.window.app import application
        from studiotimer.window.main import MainWindow
        from tests.window.conftest import PLAN, parse_plan

        faults.keep_log()
        self.app = application()
        self.window = MainWindow()
        self.window.show()
        self.path = Path(home) / "shoot.setlog"
        self.window._run(new_session(self.path, parse_plan(PLAN)))
        self.held, self.last = 0.0, time.monotonic()
        self.timer = QTimer()
        self.timer.timeout.connect(self.tick)
        self.timer.start(2)
        self.until(lambda: self.window.services.socket is not None)
        self.window.running.call("shot")
        self.window.page.act("phones")
        self.server = self.window.services.phones
        self.server.close()
        self.server.open(Address("127.0.0.1", "lo"))
        self.until(lambda: bool(self.server.link))
        host = self.server.host
        self.busy = 0.0
        self.server.host.take = self.timed(self.server.host.take)
        self.server.tell_news = self.timed(self.server.tell_news)
        self.phones = []
        for number in range(PHONES):
            host.phones.ask(host.phones.secret(), f"phone {number}")
            self.phones.append({"link": self.server.link, "token": host.answer("assistant").token})
        self.rest(3.0)

    def timed(self, deed):
        """Return a deed that notes how long of the window's processor time it took."""

        def done(*given):
            began = time.thread_time()
            deed(*given)
            self.busy = max(self.busy, time.thread_time() - began)

        return done

    def tick(self):
        now = time.monotonic()
        self.held, self.last = max(self.held, now - self.last), now

    def until(self, there):
        while not there():
            self.app.processEvents()
            time.sleep(0.001)

    def rest(self, seconds):
        end = time.monotonic() + seconds
        self.until(lambda: time.monotonic() > end)

    def with_phones(self, meanwhile=lambda: None, **spec):
        """Return what the phones' process comes to, and the longest hold of the event loop meanwhile."""
        self.held, self.last = 0.0, time.monotonic()
        return self.ended(self.begun(**spec), meanwhile), self.held

    def begun(self, **spec):
        """Begin a phones' process."""
        line = [sys.executable, "-m", "tests.speed.phones", "--as", json.dumps({"phones": self.phones, **spec})]
        return subprocess.Popen(line, stdout=subprocess.PIPE)

    def ended(self, process, meanwhile=lambda: None):
        """Return what a phones' process comes to; the window works until then."""
        done = []
        thread = threading.Thread(target=lambda: done.append(process.communicate()[0]), daemon=True)
        thread.start()

        def turn():
            meanwhile()
            return bool(done)

        self.until(turn)
        return json.loads(done[0])


def memory_mb():
    import psutil

    return psutil.Process().memory_info().rss / 2**20


def servers_mb(shoot):
    import psutil

    return psutil.Process(shoot.server._process.processId()).memory_info().rss / 2**20


def measure(shoot, minutes, browsers):
    shoot.held, shoot.last = 0.0, time.monotonic()
    shoot.rest(10.0)
    print(f"no phone asks anything for 10 s: tick held at most {shoot.held * 1000:.0f} ms", flush=True)
    found, held = shoot.with_phones(do="taps", many=TAPS)
    print(
        f"tap to on disk, {len(found)} calls: median {statistics.median(found) * 1000:.0f} ms, 99 % "
        f"{percentile(found, 0.99) * 1000:.0f} ms; tick held at most {held * 1000:.0f} ms", flush=True,
    )  # fmt: skip
    made, last = [], [time.monotonic() + 5.0]

    def pulls():
        if time.monotonic() - last[0] > 0.5 and len(made) < NEWS:
            last[0] = time.monotonic()
            made.append((steady(), not shoot.window.running.state.locks["light"]))
            shoot.window.running.call("lock", {"which": "light", "on": made[-1][1]})

    heard, held = shoot.with_phones(pulls, do="hears", seconds=NEWS * 0.5 + 15)
    heard = [one for one in heard if one[0] >= made[0][0]]
    news = [when - at for (at, on), (when, was) in zip(made, heard, strict=False) if on == was]
    print(
        f"news, {len(news)} calls at the laptop: median {statistics.median(news) * 1000:.0f} ms, at most "
        f"{max(news) * 1000:.0f} ms; tick held at most {held * 1000:.0f} ms", flush=True,
    )  # fmt: skip
    asked, held = shoot.with_phones(do="flood", seconds=FLOOD_S)
    print(
        f"flooded with {asked} connections and requests in {FLOOD_S:.0f} s: tick held {held * 1000:.0f} ms", flush=True
    )
    shoot.held, shoot.last = 0.0, time.monotonic()
    for _ in range(KILLS):
        shoot.server._process.kill()
        shoot.until(lambda: shoot.server.host.server.port is None)
        shoot.until(lambda: shoot.server.host.server.port is not None)
        shoot.rest(0.5)
    print(f"its server killed {KILLS} times: tick held at most {shoot.held * 1000:.0f} ms", flush=True)
    work(shoot, minutes * 60.0, browsers)


def work(shoot, seconds, browsers):
    """Have phones work through cuts; print what was lost, doubled and needed."""
    for one in shoot.phones:
        one["link"] = shoot.server.link
    before, served = memory_mb(), servers_mb(shoot)
    late, last = [], [time.monotonic()]

    def tick():
        now = time.monotonic()
        late.append(now - last[0])
        last[0] = now

    shoot.timer.timeout.connect(tick)
    each = CUTS * browsers // PHONES
    pages = shoot.begun(do="browse", phones=shoot.phones[:browsers], seconds=seconds, cuts=each) if browsers else None
    answered, held = shoot.with_phones(
        do="shift", phones=shoot.phones[browsers:], seconds=seconds, cuts=CUTS - (each if browsers else 0)
    )
    if pages is not None:
        shown = shoot.ended(pages)
        print(f"of these in {browsers} pages: {len(shown)} calls on disk")
        answered |= shown
    entries = [one for one in shoot.window.running.session.ledger.entries if one.call_id is not None]
    ids = [one.call_id for one in entries]
    lost = [name for name, number in answered.items() if name not in ids]
    print(
        f"{PHONES} phones, {browsers} of them pages, for {seconds / 60:g} min through {CUTS} cuts: {len(answered)} calls on "
        f"disk, {len(lost)} lost, {len(ids) - len(set(ids))} doubled; memory {before:.0f} to {memory_mb():.0f} MiB, server "
        f"{served:.0f} to {servers_mb(shoot):.0f} MiB; tick held {percentile(late, 0.99) * 1000:.0f} ms 99 of 100, at most "
        f"{held * 1000:.0f} ms; with phones in one piece at most {shoot.busy * 1000:.0f} ms of processor time; "
        f"load {os.getloadavg()[0]:.1f}", flush=True,
    )  # fmt: skip


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--minutes", type=float, default=1.0, help="how long the eight phones work")
    parser.add_argument("--browsers", type=int, default=0, help="how many of them are pages in a browser")
    parser.add_argument("--soak", action="store_true", help="nothing but that")
    parser.add_argument("--as", dest="as_phones", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.as_phones:
        print(json.dumps(as_phones(json.loads(options.as_phones))))
        return
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as home:
        for name in HOMES:
            os.environ[name] = home
        shoot = Shoot(home)
        if options.soak:
            work(shoot, options.minutes * 60.0, options.browsers)
        else:
            measure(shoot, options.minutes, options.browsers)
        shoot.window.close_session()
        os._exit(0)


if __name__ == "__main__":
    main()
