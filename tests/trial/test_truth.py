"""What a simulated day's ice cream really does, against the forecast of who knows the truth beforehand."""

import math
from dataclasses import replace

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.climate import Climate
from studiotimer.session.forecast import Forecaster
from studiotimer.session.live import new_session
from studiotimer.session.product import Product
from studiotimer.thermal import learn
from studiotimer.thermal.pack import sweat
from studiotimer.trial.crew import HandClock
from studiotimer.trial.luck import Dice
from studiotimer.trial.truth import NEVER, TrueWindow, Truth
from tests.trial.oracle import carried
from tests.trial.setups import CERTAIN
from tests.trial.test_crew import PLAN

DOOR_OPEN = replace(CERTAIN, rates=CERTAIN.rates | {"freezer_door": 1.0})


class Told(Dice):
    """Dice whose standard normal draws are told beforehand, 0 where they are not."""

    def __init__(self, luck=CERTAIN, **normals):
        super().__init__(luck, 1)
        self.normals = normals

    def normal(self, purpose, number):
        return self.normals.get(purpose.replace(" ", "_"), 0.0)


def stood(folder, look="crisp", tau=0.0, *calls, leave_out=(), **changes):
    """A plan whose mix was learned to be of one tau, and a session with a hero that rested in the box, then outside."""
    learned = {"premium": {"mean": tau, "sd": 0.001}}
    plan = parse_plan(PLAN | {"shots": [PLAN["shots"][0] | {"look": look}], "learned": learned} | changes)
    clock = HandClock()
    session = new_session(folder / "truth.setlog", plan, clock)
    for wait, kind, given in (
        (5, "shot", {"name": "plate"}), (10, "pull", {"flavour": "vanilla", "to": "box"}),
        (400, "move", {"scoop": 1, "to": "tray"}), (90, "hero_in", {"scoops": [1]}), *calls,
    ):  # fmt: skip
        if kind not in leave_out:
            clock.seconds += wait
            assert session.call(kind, given).refused is None
    state, hero = session.state, session.state.scoops[1]
    session.close()
    return plan, state, hero, session.time()


@pytest.mark.parametrize("normals", [{}, {"set": 1.5}, {"mix_premium": -1.0}, {"scoop": 2.0}, {"set": -1, "scoop": -1}])
def test_a_scoop_changes_as_is_foreseen_of_its_tau(tmp_path, normals):
    """Its tau is the set's part, its mix's and its own, each of its spread; then the forecast's middle is the truth."""
    dice = Told(**normals)
    spreads = {"set": learn.SET_SD, "mix_premium": learn.MIX_SD, "scoop": learn.SCOOP_SD}
    tau = sum(spreads[what] * value for what, value in normals.items())
    plan, state, hero, at = stood(tmp_path, tau=tau)
    truth = Truth(plan, dice)
    assert truth.tau(1, "vanilla") == pytest.approx(tau)
    seen = Forecaster(plan).forecast(state, at).heroes[0].changes
    stages = truth.stages(state, hero)
    assert stages[0] == hero.since
    assert stages[5] == NEVER
    foreseen = [seen.of(name).likely for name in ("crisp", "sheen", "edges")]
    assert stages[1:4] == pytest.approx(foreseen, abs=1.0)
    window = truth.window(state, hero)
    assert (window.start, window.end) == (stages[1], stages[3])


def test_edges_and_the_first_drip_have_a_part_of_their_own_and_stay_in_order(tmp_path):
    plan, state, hero, _ = stood(tmp_path)
    _, crisp, sheen, gone, drip, _ = (one - hero.since for one in Truth(plan, Told()).stages(state, hero))
    later = [one - hero.since for one in Truth(plan, Told(edges=1.0)).stages(state, hero)]
    assert later[1:4] == pytest.approx([crisp, sheen, gone * math.exp(learn.RESIDUAL_SD["edges"])])
    dripping = [one - hero.since for one in Truth(plan, Told(first_drip=1.0)).stages(state, hero)]
    assert dripping[1:5] == pytest.approx([crisp, sheen, gone, drip * math.exp(learn.RESIDUAL_SD["first drip"])])
    soon = Truth(plan, Told(edges=-60.0, first_drip=-60.0)).stages(state, hero)
    assert soon[2] == soon[3] == soon[4] == pytest.approx(hero.since + sheen)


def test_a_freezer_whose_door_stood_open_is_three_degrees_warmer(tmp_path):
    """An own rule, as it is told."""
    for name in ("open", "warm"):
        (tmp_path / name).mkdir()
    plan, state, hero, _ = stood(tmp_path / "open", freezer="-16 °C")
    other, warm, same, _ = stood(tmp_path / "warm", freezer="-13 °C")
    opened = Truth(plan, Told(DOOR_OPEN)).stages(state, hero)
    assert opened == pytest.approx(Truth(other, Told()).stages(warm, same))
    assert opened[3] < Truth(plan, Told()).stages(state, hero)[3]


def test_a_pack_from_a_freezer_whose_door_stood_open_has_dew_sooner(tmp_path):
    flavours = [{"name": "vanilla", "mix": "premium", "form": "pint"}]
    room = {"air": "26 °C", "humidity": "60 %"}
    for name in ("open", "warm"):
        (tmp_path / name).mkdir()
    plan, state, hero, _ = stood(tmp_path / "open", flavours=flavours, room=room, freezer="-25 °C")
    other, warm, same, _ = stood(tmp_path / "warm", flavours=flavours, room=room, freezer="-22 °C")
    opened = Truth(plan, Told(DOOR_OPEN)).wall(state, hero)
    assert opened == pytest.approx(Truth(other, Told()).wall(warm, same))
    assert opened[2] < Truth(plan, Told()).wall(state, hero)[2]


def test_a_packs_wall_changes_as_is_foreseen_of_its_tau_from_when_it_was_wiped_on(tmp_path):
    """Damp and warm, so that dew beads and runs within the hour."""
    flavours = [{"name": "vanilla", "mix": "premium", "form": "pint"}]
    room = {"air": "26 °C", "humidity": "60 %"}
    wiped = (300, "dew_wiped", {"scoops": [1]})
    plan, state, hero, at = stood(
        tmp_path, "sheen", 1.5 * learn.SET_SD, wiped, flavours=flavours, room=room, freezer="-22 °C"
    )
    truth = Truth(plan, Told(set=1.5))
    (seen,) = Forecaster(plan).forecast(state, at).heroes
    clear, *changes = truth.wall(state, hero)
    assert clear == hero.since + 300
    assert changes == pytest.approx([one.likely for one in seen.changes.begun], abs=2.0)
    window = truth.window(state, hero)
    assert (window.start, window.end) == pytest.approx((seen.start.likely, seen.end.likely), abs=2.0)


def test_a_packs_wall_goes_on_from_where_its_core_was_read(tmp_path):
    """Read two minutes after it came to the set: from then on it changes as one that comes there so."""
    flavours = [{"name": "vanilla", "mix": "premium", "form": "pint"}]
    room = {"air": "26 °C", "humidity": "60 %"}
    core = (120, "reading", {"what": "core_c", "value": -20.0, "scoop": 1})
    plan, state, hero, at = stood(tmp_path, "sheen", 0.0, core, flavours=flavours, room=room, freezer="-16 °C")
    truth = Truth(plan, Told())
    _, *changes = truth.wall(state, hero)
    (seen,) = Forecaster(plan).forecast(state, at).heroes
    product = Product.of(plan, "vanilla")
    around = Climate(state, plan).around("set", at, product, lit=True)
    fresh = [at + seconds for seconds in sweat(product.mix, product.build.body, -20.0, around).in_order]
    assert changes == pytest.approx(fresh, abs=0.1)
    assert [one.likely for one in seen.changes.begun] == pytest.approx(fresh, abs=2.0)


@pytest.mark.parametrize("form", ["scoop", "pint"])
def test_what_is_foretold_of_a_waiting_scoop_comes_once_it_was_carried(tmp_path, form):
    """By who knows every truth, of when it will stand there."""
    flavours = [{"name": "vanilla", "mix": "premium", "form": form}]
    kept = {}
    for name in ("waits", "stands"):
        (tmp_path / name).mkdir()
        kept[name] = stood(tmp_path / name, "sheen", flavours=flavours, leave_out=("hero_in",) * (name == "waits"))
    plan, state, hero, at = kept["stands"]
    _, before, waits, left = kept["waits"]
    truth = Truth(plan, Told(set=1.0))
    assert left < at - plan.carried_s
    foretold = truth.window(before, carried(waits, at))
    window = truth.window(state, hero)
    assert (foretold.start, foretold.end) == pytest.approx((window.start, window.end), abs=0.5)


def test_a_window_holds_from_its_start_to_its_end():
    window = TrueWindow(10.0, 20.0)
    assert [window.holds(at) for at in (9.9, 10.0, 15.0, 20.0, 20.1)] == [False, True, True, True, False]
