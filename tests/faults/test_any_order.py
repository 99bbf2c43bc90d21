"""Calls in any order: the fold never raises, refusals change nothing, mends mend, the file says what was shown."""

import contextlib
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from studiotimer.session.calls.registry import CALLS
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, NoDefaultError
from studiotimer.session.live import Choice, new_session, open_session
from studiotimer.session.mending import Ledger
from studiotimer.session.reading import read
from tests.session.clocks import HandClock
from tests.session.given import ACTIONS, JUNK, NUMBERS, calls, fields_of
from tests.session.shoots import plan


class Shoot(RuleBasedStateMachine):
    """A crew calling whatever it likes, whenever it likes, in one session opened again now and then."""

    @initialize()
    def begin(self):
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "shoot.setlog"
        self.clock = HandClock()
        self.session = new_session(self.path, plan(), self.clock)

    def teardown(self):
        if hasattr(self, "session"):
            assert self.session.close()
            assert read(self.path).condition == "whole"
            self.folder.cleanup()

    def call(self, kind, given=None, choice=None, tick=None):
        """Make a call and hold what must hold whether it is taken or refused."""
        ledger = self.session.ledger
        before = (ledger.state, list(ledger.entries), list(ledger.told), set(ledger.undone))
        outcome = self.session.call(kind, given, choice, tick)
        if outcome.refused is not None or outcome.repeated:
            assert (ledger.state, list(ledger.entries), list(ledger.told), set(ledger.undone)) == before
            assert outcome.repeated or (outcome.refused and "\n" not in outcome.refused)
        else:
            assert ledger.entries[-1] is outcome.entry
            assert outcome.entry.n == len(ledger.entries)
        return outcome

    @rule(seconds=st.sampled_from([0.3, 1.0, 20.0, 600.0]))
    def wait(self, seconds):
        self.clock.advance(seconds)

    @rule(seconds=st.sampled_from([-3600.0, 3600.0, -90_000.0]))
    def set_the_wall_clock(self, seconds):
        self.clock.set_wall(seconds)

    @rule(call=calls())
    def call_with_fields(self, call):
        kind, fields = call
        self.call(kind, fields)

    @rule(kind=st.sampled_from(CALLS), selected=st.none() | NUMBERS, best=st.lists(NUMBERS, max_size=4))
    def call_by_default(self, kind, selected, best):
        outcome = self.call(kind, {}, Choice(best, None, selected))
        if outcome.refused is None and kind in ("pull", "lock", "top_up", "lamp", "reading"):
            assert outcome.entry is not None

    @rule(kind=st.sampled_from(ACTIONS), data=st.data())
    def call_with_some_fields(self, kind, data):
        fields = data.draw(fields_of(kind))
        kept = data.draw(st.sets(st.sampled_from(sorted(fields))))
        self.call(kind, {name: fields[name] for name in kept})

    @rule(kind=st.sampled_from(CALLS), given=st.dictionaries(st.text(max_size=6), JUNK, max_size=2), data=st.data())
    def call_with_rubbish(self, kind, given, data):
        named = {
            name: data.draw(JUNK) for name in data.draw(st.sets(st.sampled_from(["scoop", "entry", "what", "in"])))
        }
        self.call(kind, given | named)

    @rule(ago=st.sampled_from([0.1, 5.0, 60.0]), call=calls())
    def call_late(self, ago, call):
        self.call(*call, tick=self.clock.tick() - ago)

    @rule(data=st.data())
    def take_back(self, data):
        entry = data.draw(st.integers(1, len(self.session.ledger.entries) + 1))
        before = self.session.state
        counted = entry not in self.session.ledger.undone
        outcome = self.call("take_back", {"entry": entry})
        if outcome.refused is None and not outcome.repeated:
            assert counted
            assert entry in self.session.ledger.undone
            self.clock.advance(1.0)
            restored = self.call("take_back", {"entry": outcome.entry.n})
            assert restored.refused is None
            assert self.session.state == before

    @precondition(lambda self: self.session.ledger.told)
    @rule(data=st.data(), ago=st.sampled_from([0.0, 5.0, 20.0, 700.0]))
    def amend_when(self, data, ago):
        told = data.draw(st.sampled_from(self.session.ledger.told))
        tick = told.entry.tick - ago
        outcome = self.call("amend", {"entry": told.entry.n, "change": {"tick": tick}})
        if outcome.refused is None and not outcome.repeated:
            assert self.session.ledger.told_of(told.entry.n).entry.tick == tick

    @precondition(lambda self: self.session.ledger.told)
    @rule(data=st.data())
    def amend_what(self, data):
        told = data.draw(st.sampled_from(self.session.ledger.told))
        if told.entry.kind in ACTIONS:
            change = data.draw(fields_of(told.entry.kind))
            self.call("amend", {"entry": told.entry.n, "change": change})

    @rule()
    def open_again(self):
        state, entries = self.session.state, list(self.session.ledger.entries)
        assert self.session.close()
        self.clock = HandClock(self.clock.now())
        self.session = open_session(self.path, self.clock)
        assert self.session.ledger.entries[:-2] == entries
        assert self.session.state.but(last_time=state.last_time) == state
        assert self.session.words == []

    @invariant()
    def told_in_order_of_time(self):
        if hasattr(self, "session"):
            order = [told.order for told in self.session.ledger.told]
            assert order == sorted(order)

    @invariant()
    def nothing_untrue_was_let_in(self):
        if hasattr(self, "session"):
            assert self.session.state.contradictions == ()

    @invariant()
    def the_entries_alone_make_the_state(self):
        if hasattr(self, "session"):
            live = self.session.ledger
            again = Ledger.of(live.entries)
            assert again.state == live.state
            assert (again.told, again.undone, again.runs) == (live.told, live.undone, live.runs)

    @invariant()
    def every_kind_has_a_default_or_says_what_to_give(self):
        if hasattr(self, "session"):
            desk = Desk(self.session.ledger, self.session.plan, self.session.time())
            for kind in CALLS:
                with contextlib.suppress(NoDefaultError):
                    assert isinstance(filled(kind, desk), dict)


TestShoot = Shoot.TestCase
TestShoot.settings = settings(
    max_examples=40, stateful_step_count=25, deadline=None, suppress_health_check=list(HealthCheck)
)
