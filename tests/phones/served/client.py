"""A phone without a browser: what its page would ask of the server, over TLS as that has it."""

import http.client
import json
import secrets
import ssl
import threading

WAIT_MS = 90_000


def context():
    """Return what connects to a server nobody vouches for, as a person does who goes on past the warning."""
    found = ssl.create_default_context()
    found.check_hostname, found.verify_mode = False, ssl.CERT_NONE
    return found


class Client:
    """Asks one server; a fresh connection for each request unless `kept`."""

    def __init__(self, link, source=None):
        address, _, self.secret = link.removeprefix("https://").partition("/#")
        self.host = address
        self.source = source
        self.token = None

    def connect(self):
        name, _, port = self.host.rpartition(":")
        source = (self.source, 0) if self.source else None
        return http.client.HTTPSConnection(name, int(port), timeout=90, context=context(), source_address=source)

    def ask(self, method, path, body=None, headers=None, line=None):
        """Return the status and what was answered, as JSON where it is that."""
        kept, line = line is not None, line or self.connect()
        sent = {"Host": self.host}
        if method == "POST":
            sent |= {"Origin": f"https://{self.host}", "Content-Type": "application/json"}
        if self.token:
            sent["Authorization"] = f"Bearer {self.token}"
        sent |= headers or {}
        sent = {name: value for name, value in sent.items() if value is not None}
        data = body if isinstance(body, bytes | None) else json.dumps(body).encode()
        try:
            line.request(method, path, data, sent)
            answer = line.getresponse()
            text = answer.read()
        finally:
            if not kept:
                line.close()
        try:
            return answer.status, json.loads(text)
        except ValueError:
            return answer.status, text.decode("utf-8", "replace")

    def post(self, path, body, **headers):
        return self.ask("POST", path, body, headers)

    def news(self, after=-1):
        return self.ask("GET", f"/news?after={after}")

    def pair(self, name="Ana"):
        """Ask to be paired and return what the laptop answered."""
        status, answer = self.post("/pair", {"secret": self.secret, "name": name})
        ticket = answer.get("ticket")
        while status in (200, 202) and answer.get("answer", "asked") == "asked":
            status, answer = self.post("/pair/answer", {"ticket": ticket})
        self.token = answer.get("token")
        return status, answer

    def call(self, kind, fields=None, name=None, **more):
        """Make a call, with an id of its own unless it is given one."""
        from studiotimer.session.clock import steady_seconds

        body = {"id": name or secrets.token_hex(16), "kind": kind, "fields": fields or {}, "at": steady_seconds()}
        return self.post("/call", body | more)


def gone(qtbot, ask):
    """Wait until nobody listens any more where `ask` asks."""

    def refused():
        try:
            aside(qtbot, ask)
        except OSError as error:
            return isinstance(error, ConnectionRefusedError)
        return False

    qtbot.waitUntil(refused, timeout=WAIT_MS)


def aside(qtbot, work):
    """Do `work` in a thread while the window works, and return what it returns."""
    done = []

    def run():
        try:
            done.append((work(), None))
        except BaseException as error:
            done.append((None, error))

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    qtbot.waitUntil(lambda: bool(done), timeout=WAIT_MS)
    thread.join()
    found, error = done[0]
    if error is not None:
        raise error
    return found
