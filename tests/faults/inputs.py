"""Files that a fuzzer offers the session reader: sessions cut, changed, spliced, and JSON that only looks like one."""

import json
import random
import zlib
from pathlib import Path

from studiotimer.session.first_lines import SessionFileError
from studiotimer.session.live import plan_of
from studiotimer.session.mending import Ledger
from studiotimer.session.reading import parse
from tests.session.shoots import file_bytes, plan, small_shoot

WHOLE = file_bytes(small_shoot(), plan=plan().snapshot())
LINES = WHOLE.splitlines(keepends=True)

WORDS = [
    "", "vanilla", "=1+1", "<script>", "\u202e", "\x00", "\ud800", "é" * 300, "NaN", "-1", "9" * 400, "null", "\n",
]  # fmt: skip
NUMBERS = [0, -1, 1, 2, 7, 10**18, -(10**400), 1e308, -1e308, 5e-324, float("nan"), float("inf"), 0.1, True]


def value(chance, depth=0):
    """Return a JSON value of any sort."""
    kind = chance.randrange(8 if depth < 4 else 4)
    if kind < 2:
        return chance.choice(NUMBERS)
    if kind < 4:
        return chance.choice(WORDS)
    if kind == 4:
        return None
    if kind == 5:
        return chance.random() < 0.5
    if kind == 6:
        return [value(chance, depth + 1) for _ in range(chance.randrange(4))]
    return {chance.choice(WORDS): value(chance, depth + 1) for _ in range(chance.randrange(3))}


def summed_line(text):
    body = text.encode("utf-8", "surrogatepass")[:-1]
    return body + b',"sum":"%08x"}\n' % zlib.crc32(body)


def changed_fields(chance):
    """Return a line of the session with some fields replaced, and a sum that holds."""
    fields = json.loads(chance.choice(LINES))
    fields.pop("sum")
    for _ in range(chance.randrange(1, 4)):
        fields[chance.choice([*fields, "scoop", "entry", "change", "text", chance.choice(WORDS)])] = value(chance)
    return summed_line(json.dumps(fields, ensure_ascii=chance.random() < 0.5))


def changed_bytes(chance):
    data = bytearray(WHOLE)
    for _ in range(chance.randrange(1, 6)):
        data[chance.randrange(len(data))] = chance.randrange(256)
    return bytes(data)


def spliced(chance):
    first, second = sorted(chance.randrange(len(WHOLE)) for _ in range(2))
    return chance.choice([WHOLE[:first] + WHOLE[second:], WHOLE[:second] + WHOLE[first:], WHOLE[first:second]])


def other_lines(chance):
    lines = [LINES[0] if chance.random() < 0.8 else changed_fields(chance)]
    for line in chance.choices(LINES[1:], k=chance.randrange(8)):
        lines.append(changed_fields(chance) if chance.random() < 0.6 else line)
    return b"".join(lines)


def rubbish(chance):
    head = LINES[0] if chance.random() < 0.5 else b""
    return head + chance.randbytes(chance.randrange(200))


def an_input(chance):
    """Return the bytes of one file."""
    return chance.choice([changed_bytes, spliced, other_lines, other_lines, rubbish])(chance)


def hold_what_must_hold(data):
    """Read `data` as a session and fold it; anything but a SessionFileError is a fault."""
    try:
        held = parse(Path("fuzz.setlog"), data)
    except SessionFileError as error:
        sentence = str(error)
        assert sentence.startswith("fuzz.setlog"), sentence
        assert "\n" not in sentence
        return "refused"
    numbers = [entry.n for entry in held.entries]
    assert numbers == sorted(set(numbers))
    assert (held.condition == "whole") == (not held.bad_lines)
    assert all(bad.why.isprintable() or "\n" not in bad.why for bad in held.bad_lines)
    ledger = Ledger.of(held.entries)
    order = [told.order for told in ledger.told]
    assert order == sorted(order)
    plan_of(held.header)
    return held.condition


def main(count, seed=0):
    """Offer `count` files and return how many were refused, whole, torn and damaged."""
    chance = random.Random(seed)
    seen = {"refused": 0, "whole": 0, "torn": 0, "damaged": 0}
    for number in range(count):
        data = an_input(chance)
        try:
            seen[hold_what_must_hold(data)] += 1
        except Exception:
            Path(f"fuzz-{seed}-{number}.setlog").write_bytes(data)
            raise
    return seen
