"""A session cut at every byte and changed at every byte: what is undamaged is read, what is not is named."""

import os
import random
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from studiotimer.session.first_lines import SessionFileError
from studiotimer.session.journal import DamagedError, copy_readable, open_for_writing
from studiotimer.session.lines import to_line
from studiotimer.session.mending import Ledger
from studiotimer.session.reading import parse, read
from tests.session.shoots import file_bytes, plan, small_shoot

ROOT = Path(__file__).parents[2]
ENTRIES = small_shoot()
WHOLE = file_bytes(ENTRIES, plan=plan().snapshot())
LINES = WHOLE.splitlines(keepends=True)
ENDS = [len(b"".join(LINES[:count])) for count in range(1, len(LINES) + 1)]
BEGIN = ENDS[0]
"""Where the first entry's line begins."""


@pytest.fixture
def path(tmp_path):
    return tmp_path / "shoot.setlog"


def line_at(place):
    """Return the number of the line that holds byte `place`, from 1."""
    return next(number for number, end in enumerate(ENDS, 1) if place < end)


@pytest.mark.fault("a session cut short at every byte")
def test_cut_at_every_byte_every_whole_entry_is_read(path):
    for cut in range(BEGIN - 1, len(WHOLE)):
        held = parse(path, WHOLE[:cut])
        complete = sum(1 for end in ENDS[1:] if end - 1 <= cut)
        assert list(held.entries) == ENTRIES[:complete]
        torn = cut not in ENDS and cut + 1 not in ENDS
        assert held.condition == ("torn" if torn else "whole")
        assert [bad.line for bad in held.bad_lines] == ([complete + 2] if torn else [])


@pytest.mark.fault("a session cut inside its first line")
def test_cut_inside_the_first_line_nothing_is_left_to_open(path):
    for cut in range(BEGIN - 1):
        with pytest.raises(SessionFileError) as refused:
            parse(path, WHOLE[:cut])
        assert str(refused.value).startswith("shoot.setlog ")


def test_cut_at_a_sample_of_bytes_the_session_goes_on_and_the_tail_is_kept(path):
    for cut in random.Random(1).sample(range(BEGIN, len(WHOLE)), 60):
        path.write_bytes(WHOLE[:cut])
        journal, held, aside = open_for_writing(path)
        journal.append([ENTRIES[len(held.entries)]] if len(held.entries) < len(ENTRIES) else [])
        journal.close()
        after = read(path)
        assert after.condition == "whole"
        assert list(after.entries) == ENTRIES[: len(after.entries)]
        kept = aside.read_bytes() if aside else b""
        if aside:
            aside.unlink()
            assert WHOLE[:cut].endswith(kept)
        assert len(after.entries) == min(len(held.entries) + 1, len(ENTRIES))


@pytest.mark.fault("every byte of a session changed")
@pytest.mark.parametrize("flip", [0x01, 0x20, 0x80])
def test_changed_at_every_byte_the_line_is_named_and_the_rest_read(path, flip):
    for place in range(BEGIN, len(WHOLE)):
        changed = bytearray(WHOLE)
        changed[place] ^= flip
        number = line_at(place)
        held = parse(path, bytes(changed))
        last = place == len(WHOLE) - 1
        assert held.condition == ("torn" if last else "damaged")
        named = {bad.line for bad in held.bad_lines}
        assert number in named
        joined = changed[place] != 0x0A and place + 1 in ENDS and not last
        lost = {number - 1, number} if joined else {number - 1}
        assert [one.n for one in held.entries] == [one.n for one in ENTRIES if one.n not in lost]
        assert all(one == ENTRIES[one.n - 1] for one in held.entries)


@pytest.mark.fault("every byte of the first line changed")
@pytest.mark.parametrize("flip", [0x01, 0x20, 0x80])
def test_changed_anywhere_in_the_first_line_every_entry_is_read(path, flip):
    for place in range(BEGIN - 1):
        changed = bytearray(WHOLE)
        changed[place] ^= flip
        held = parse(path, bytes(changed))
        assert held.condition == "damaged"
        assert held.bad_lines[0].line == 1
        assert list(held.entries) == ENTRIES


def test_what_damage_leaves_still_makes_a_state_and_a_copy(path, tmp_path):
    for seed in range(40):
        chance = random.Random(seed)
        changed = bytearray(WHOLE)
        for _ in range(chance.randint(1, 12)):
            changed[chance.randrange(BEGIN, len(WHOLE))] = chance.randrange(256)
        path.write_bytes(bytes(changed))
        held = read(path)
        Ledger.of(held.entries)
        if held.condition == "damaged":
            with pytest.raises(DamagedError):
                open_for_writing(path)
        target = tmp_path / f"copy {seed}.setlog"
        copy_readable(held, target)
        assert read(target).condition == "whole"


@pytest.mark.fault("any bytes after a session")
@given(st.binary(max_size=300))
@settings(max_examples=300, deadline=None)
def test_any_bytes_after_a_session_cost_nothing_that_was_there(data):
    held = parse(Path("shoot.setlog"), WHOLE + data)
    assert list(held.entries[: len(ENTRIES)]) == ENTRIES


@pytest.mark.fault("lines lost, doubled and shuffled")
@given(st.data())
@settings(max_examples=300, deadline=None)
def test_lines_lost_doubled_and_shuffled_are_never_taken_for_whole(data):
    lines = data.draw(st.lists(st.sampled_from(LINES[1:]), min_size=1, max_size=12))
    held = parse(Path("shoot.setlog"), LINES[0] + b"".join(lines))
    in_order = lines == LINES[1 : len(lines) + 1]
    assert (held.condition == "whole") == in_order
    numbers = [one.n for one in held.entries]
    assert numbers == sorted(set(numbers))
    Ledger.of(held.entries)


CALLER = """
import sys
from pathlib import Path
from studiotimer.session.live import new_session
from tests.session.shoots import plan
session = new_session(Path(sys.argv[1]), plan())
session.listeners.on_disk = lambda n: print(n, flush=True)
number = 0
while True:
    number += 1
    session.call("note", {"text": f"note {number}"})
    while session.waiting > 50:
        pass
"""


@pytest.mark.fault("a program killed while it logs")
def test_killed_while_it_logs_everything_it_acknowledged_is_there(tmp_path):
    """kill -9 at random moments; the numbers it printed were on disk when it printed them."""
    chance = random.Random(7)
    for round_ in range(6):
        path = tmp_path / f"{round_}.setlog"
        process = subprocess.Popen(
            [sys.executable, "-c", CALLER, str(path)],
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        seen = process.stdout.readline()
        for _ in range(chance.randrange(0, 60)):
            seen = process.stdout.readline() or seen
        process.kill()
        rest = process.communicate()[0].split(b"\n")
        acknowledged = max([int(seen)] + [int(line) for line in rest[:-1] if line])
        held = read(path)
        assert held.condition in ("whole", "torn")
        assert len(held.entries) >= acknowledged
        assert [one.n for one in held.entries] == list(range(1, len(held.entries) + 1))
        assert [one.text for one in held.entries[1:]] == [f"note {n}" for n in range(1, len(held.entries))]
        journal, _, _ = open_for_writing(path)
        assert journal.lock.left_by.startswith(f"process {process.pid} on ")
        journal.close()
        assert read(path).condition == "whole"


def test_a_line_set_right_by_hand_reads_again(path):
    """What is named can be repaired: the sum is the CRC-32 of what stands before it."""
    changed = WHOLE.replace(b'"scoop":2', b'"scoop":6', 1)
    assert parse(path, changed).condition == "damaged"
    number = parse(path, changed).bad_lines[0].line
    lines = changed.splitlines(keepends=True)
    lines[number - 1] = to_line(ENTRIES[number - 2])
    assert parse(path, b"".join(lines)).condition == "whole"
