"""The files written: tables, the page, the next plan, sessions side by side, the timeline's content."""

import csv
import datetime as dt
import html.parser
import io
import json

import pytest

from studiotimer.errors import StoppedError
from studiotimer.prep.loading import load_plan
from studiotimer.prep.plan import parse_plan, plan_text
from studiotimer.prep.results import results_of
from studiotimer.wrap.aged import aged, dated
from studiotimer.wrap.camera import CameraClock
from studiotimer.wrap.carry import LEAST_PULLS, LEAST_WALKS, hero_gaps, next_plan
from studiotimer.wrap.cells import harmless, to_csv
from studiotimer.wrap.export import Asked, export
from studiotimer.wrap.frames import Found, Gathered
from studiotimer.wrap.recorded import load
from studiotimer.wrap.report import Gaps, report_of
from studiotimer.wrap.report_html import page
from studiotimer.wrap.review import review_of
from studiotimer.wrap.side_by_side import of_folder, sessions_csv
from studiotimer.wrap.tables import FRAME_COLUMNS, SCOOP_COLUMNS, frames_csv, scoops_csv
from studiotimer.wrap.timeline import timeline_of
from tests.wrap.shoots import COUPE, picture, session, story, write_session

MADE = dt.datetime(2026, 6, 14, 20, 0, tzinfo=dt.UTC)
NASTY = "=HYPERLINK(\"http://x\")<script>alert('x')</script>"
CALLS = (
    (0, "shot", COUPE | {"name": NASTY}),
    (10, "pull", {"scoop": 1, "flavour": NASTY, "to": "tray"}),
    (60, "hero_in", {"scoops": [1], "flavours": [NASTY], "spots": ["+1"], "shot": NASTY}),
    (130, "look", {"scoop": 1, "seen": "sheen"}),
    (140, "top_up", {"mass_kg": 1.0, "form": "slab", "where": "set"}),
    (150, "hold", {"why": NASTY}),
    (155, "resume", {}),
    (160, "swap", {"out": 1, "in": 2, "spot": "+1", "assumed_pull_s": 30.0}),
    (300, "out", {"scoops": [2], "why": "got it"}),
)


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        ("=1+1", "'=1+1"), ("+1", "'+1"), ("-1", "'-1"), ("@x", "'@x"), ("\tx", "'\tx"), (" =1", "' =1"),
        ("plain", "plain"), ("", ""), (None, ""), (-3.14159, "-3.1"), (float("inf"), ""), (7, "7"), (True, "yes"),
        (False, ""),
    ],
)  # fmt: skip
def test_harmless_cells(value, cell):
    assert harmless(value) == cell


def test_csv_as_rfc_4180_has_it():
    data = to_csv(("a", "b"), [('x,"y"\nz', 1.0)])
    assert data == b'a,b\r\n"x,""y""\nz",1.0\r\n'


def rows(data):
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"), newline="")))


def test_tables_of_a_nasty_session():
    review = review_of(session(*CALLS))
    frames = aged(review, dated(review.session, Gathered([Found(NASTY, None, 70.0), Found("b", None, 350.0)]),
                                CameraClock()))  # fmt: skip
    first, last = rows(frames_csv(review, frames))
    assert tuple(first) == FRAME_COLUMNS
    assert first["frame"] == first["flavour"] == first["shot"] == f"'{NASTY}"
    assert (first["spot"], first["as"], first["since_pull_s"], first["on_set_s"]) == ("'+1", "hero", "60.0", "10.0")
    assert (first["taken_utc"], first["stage_from"]) == ("2026-06-14T10:01:10.000Z", "estimated")
    assert (last["scoop"], last["left_s"]) == ("", "")
    one, two = rows(scoops_csv(review))
    assert tuple(one) == SCOOP_COLUMNS
    assert (one["out"], one["sheen_seen_s"], one["on_set_s"]) == ("gone", "70.0", "100.0")
    assert (two["marks"], two["on_set_s"]) == ("pull assumed", "140.0")


class Read(html.parser.HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags, self.text, self.sources = [], [], []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.sources += [value for name, value in attrs if name in ("src", "href") or name.startswith("on")]

    def handle_data(self, data):
        self.text.append(data)


def test_the_page_escapes_what_people_wrote(tmp_path):
    folder = tmp_path / "frames"
    picture(folder / '"><img src=x onerror=alert(1)>.jpg', "2026:06:14 12:01:30", offset="+02:00")
    path = write_session(tmp_path / "day.setlog", story(*CALLS), title=NASTY)
    found = export(path, Asked(frames=(folder,)))
    made = page(found.report, "<svg></svg>", ["<svg></svg>"] * len(found.report.ages)).decode()
    read = Read()
    read.feed(made)
    assert "script" not in read.tags
    assert read.tags.count("img") == 1
    assert all(source.startswith("data:image/jpeg;base64,") for source in read.sources)
    assert NASTY in "".join(read.text)
    assert '"><img src=x onerror=alert(1)>.jpg' in "".join(read.text)
    assert "burns bare skin" in made
    assert "default-src 'none'" in made


def many(pulls, good, walks):
    """A session of `pulls` judged pulls, the first `good` of them heroes; `walks` of them went on set from the tray."""
    calls = [(0, "shot", COUPE)]
    for number in range(1, pulls + 1):
        at = number * 200
        hero = number <= good
        calls += [
            (at, "pull", {"scoop": number, "flavour": "vanilla", "to": "tray" if number <= walks else "box"}),
            (at + 5, "judge", {"scoop": number, "as": "hero" if hero else "reject"}),
        ]
        if hero:
            calls += [
                (at + 40, "hero_in", {"scoops": [number], "shot": "coupe"}),
                (at + 100, "look", {"scoop": number, "seen": "sheen"}),
                (at + 120, "out", {"scoops": [number], "why": "gone"}),
            ]
    return review_of(session(*calls))


def test_what_was_measured_goes_into_the_next_plan():
    review = many(10, 6, 4)
    carried = next_plan(review, dt.date(2026, 7, 1))
    plan = carried.plan
    assert plan.date == dt.date(2026, 7, 1)
    assert plan.good_share == pytest.approx(0.6)
    assert plan.pull_to_set_s == pytest.approx(40.0)
    mean, sd = review.session.learned.mix_part("premium")
    assert (plan.learned["premium"].mean, plan.learned["premium"].sd) == (pytest.approx(mean), pytest.approx(sd))
    assert sd < 0.2
    assert plan.hero_takes_s == pytest.approx(200.0)
    assert len(carried.changed) == 4
    assert any("sorbet" in words for words in carried.left)
    assert parse_plan(json.loads(plan_text(plan))) == plan


def test_what_was_not_measured_stays_as_it_was():
    review = many(LEAST_PULLS - 1, 3, LEAST_WALKS - 1)
    carried = next_plan(review, dt.date(2026, 7, 1))
    assert carried.plan.good_share == review.session.plan.good_share
    assert carried.plan.pull_to_set_s == review.session.plan.pull_to_set_s
    assert carried.plan.dry_ice.gain_k_per_w == review.session.plan.dry_ice.gain_k_per_w
    assert any(words.startswith("good pulls: known of 7 only") for words in carried.left)


def test_good_pulls_are_of_all_that_were_pulled_but_those_that_still_wait_unjudged():
    """4 used and not judged, 1 used and rejected, 4 out and never used, 3 that wait unjudged, 1 waits as a spare."""
    calls = [(0, "shot", COUPE)]
    for number in range(1, 14):
        at = number * 200
        calls.append((at, "pull", {"scoop": number, "flavour": "vanilla", "to": "box"}))
        if number <= 5:
            calls.append((at + 10, "hero_in", {"scoops": [number], "shot": "coupe"}))
        if number <= 9:
            calls.append((at + 90, "out", {"scoops": [number], "why": "gone"}))
        if number == 5:
            calls.append((at + 95, "judge", {"scoop": number, "as": "reject"}))
        if number == 13:
            calls.append((at + 10, "judge", {"scoop": number, "as": "spare"}))
    coupe = {"name": "coupe", "look": "crisp", "light": "LED 2000 lx", "heroes": [{"flavour": "vanilla"}]}
    review = review_of(session(*calls, shots=[coupe]))
    assert review.judged == (5, 10)
    carried = next_plan(review, dt.date(2026, 7, 1))
    assert carried.plan.good_share == pytest.approx(0.5)
    (short,) = carried.short
    wanted = next(each for each in results_of(carried.plan).products if each.flavour == "vanilla").pulls.value
    assert wanted < 13
    assert short.startswith(f"vanilla: this plan has {wanted} pulls, 13 were really pulled")
    assert not next_plan(many(LEAST_PULLS, 4, 0), dt.date(2026, 7, 1)).short


def test_the_gain_of_dry_ice_is_carried_where_it_was_read():
    calls = (
        (0, "shot", COUPE),
        (5, "reading", {"what": "room_c", "value": 22.0}),
        (10, "top_up", {"mass_kg": 2.0, "form": "pellets", "where": "set"}),
        (60, "reading", {"what": "air_c", "value": 10.0}),
    )
    review = review_of(session(*calls))
    gain = next_plan(review, dt.date(2026, 7, 1)).plan.dry_ice.gain_k_per_w
    assert gain == pytest.approx((22.0 - 10.0) / review.session.climate.ice_w(60.0))


def test_sessions_side_by_side(tmp_path):
    for name, until in (("a", 300), ("b", 500)):
        calls = (
            (0, "shot", COUPE),
            (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
            (60, "hero_in", {"scoops": [1], "shot": "coupe"}),
            (until / 2, "look", {"scoop": 1, "seen": "edges"}),
            (until, "out", {"scoops": [1], "why": "gone"}),
        )
        (tmp_path / name).mkdir()
        write_session(tmp_path / name / f"{name}.setlog", story(*calls))
    (tmp_path / "broken.setlog").write_bytes(b"nothing")
    found, failed = of_folder(tmp_path)
    assert [(one.session, one.mix, one.set, one.look, one.heroes, one.ended_seen) for one in found] == [
        ("a", "premium", "LED 2,000 lx", "crisp", 1, 1),
        ("b", "premium", "LED 2,000 lx", "crisp", 1, 1),
    ]
    for one, until in zip(found, (300, 500), strict=True):
        (hero,) = review_of(load(tmp_path / one.session / f"{one.session}.setlog")).heroes
        assert one.working_s == pytest.approx(until / 2 - hero.window()[0])
    assert len(failed) == 1
    assert rows(sessions_csv(found))[1]["session"] == "b"
    with pytest.raises(StoppedError):
        of_folder(tmp_path, lambda done, total: False)


def test_the_timeline_has_everything():
    review = review_of(session(*CALLS))
    frames = aged(review, dated(review.session, Gathered([Found("A", None, 70.0)]), CameraClock()), ["A"])
    timeline = timeline_of(review, frames)
    assert [row.number for row in timeline.rows] == [1, 2]
    first, second = timeline.rows
    assert [(span.words, span.start, span.end) for span in first.places] == [("tray", 10.0, 60.0)]
    assert first.stages[0].start == 60.0
    assert first.stages[-1].end == 160.0
    assert [mark.at for mark in first.looks] == [130.0]
    assert second.places[0].assumed
    assert [(one.start, one.end) for one in second.heroes] == [(160.0, 300.0)]
    assert [(hold.start, hold.end) for hold in timeline.holds] == [(150.0, 155.0)]
    assert [mark.at for mark in timeline.swaps] == [160.0]
    assert [mark.at for mark in timeline.top_ups] == [140.0]
    assert [(one.at, one.select) for one in timeline.frames] == [(70.0, True)]
    assert min(air for _, air in timeline.air) < 20.0 < max(air for _, air in timeline.air)


def test_a_plan_written_for_the_next_shoot_opens(tmp_path):
    path = write_session(tmp_path / "day.setlog", story(*CALLS))
    data = export(path, Asked(next_date=dt.date(2026, 7, 2))).files["next_plan.json"]
    (tmp_path / "plan.json").write_bytes(data)
    assert load_plan(tmp_path / "plan.json").date == dt.date(2026, 7, 2)


def test_what_the_day_showed_is_carried_with_its_reason():
    calls = [
        (0, "reading", {"what": "room_c", "value": 25.5}),
        (5, "reading", {"what": "humidity", "value": 0.61}),
        (10, "delivery", {"core_c": -21.0, "cartons": 8, "damage": "a lid open"}),
        (20, "shot", COUPE),
    ]
    for number in range(1, 6):
        at = number * 400
        calls += [
            (at, "pull", {"scoop": number, "flavour": "vanilla", "to": "box"}),
            (at + 40, "hero_in", {"scoops": [number], "shot": "coupe"}),
            (at + 120, "out", {"scoops": [number], "why": "gone"}),
        ]
    truck = {"day": "2026-06-12", "order_by": "2026-06-05", "from_time": "7:00", "cartons": 9}
    review = review_of(session(*calls, delivery=truck, date="2026-06-14"))
    assert hero_gaps(review) == [400.0] * 4
    carried = next_plan(review, dt.date(2026, 7, 15))
    plan = carried.plan
    assert plan.hero_takes_s == pytest.approx(400.0)
    assert plan.room.air_c == pytest.approx(25.5)
    assert plan.room.humidity == pytest.approx(0.61)
    assert plan.delivered_c == pytest.approx(-21.0)
    assert {flavour.spare_tubs for flavour in plan.flavours} == {2}
    assert (plan.delivery.day, plan.delivery.order_by) == (dt.date(2026, 7, 13), dt.date(2026, 7, 6)), "as long before"
    assert plan.carried == list(carried.changed)
    assert "a hero takes 6:40, was not told: the median of 4 spans from one hero in to the next" in carried.changed
    assert "spare tubs, one more of each flavour: at the truck, a lid open" in carried.changed
    assert all(
        (": " in words and ", was " in words) or words.startswith("spare tubs, ") for words in carried.changed[:4]
    )
    again = next_plan(review, dt.date(2026, 7, 15))
    assert again.plan.carried == plan.carried, "the reasons of one shoot, not of all before it"


def locking(shot, begins, *locks, hold=None):
    """Return the calls of a shot whose light, set and camera are locked then."""
    calls = [(begins, "shot", COUPE | {"name": shot, "keeps_locks": False})]
    calls += [
        (at, "lock", {"which": which, "on": True}) for at, which in zip(locks, ("light", "set", "camera"), strict=False)
    ]
    return calls if hold is None else [*calls, (hold[0], "hold", {}), (hold[1], "resume", {})]


def test_how_long_a_shot_took_to_lock_is_carried_to_that_shot():
    calls = [*locking("coupe", 0, 300, 400, 1500, hold=(600, 900)), *locking("trio", 3000, 4000, 4100, 6000)]
    calls += [(6100, "lock", {"which": "set", "on": False}), (6500, "lock", {"which": "set", "on": True})]
    calls += locking("coupe", 7000, 7100, 7200, 9900)
    shots = [
        {"name": "coupe", "light": "LED 2000 lx", "set_change": "5 min", "heroes": [{"flavour": "vanilla"}]},
        {"name": "trio", "light": "LED 2000 lx", "locks": "30 min", "heroes": [{"flavour": "cherry"}]},
    ]
    review = review_of(session(*sorted(calls, key=lambda call: call[0]), shots=shots))
    carried = next_plan(review, dt.date(2026, 7, 15))
    assert [float(shot.locks_s) for shot in carried.plan.shots] == [900.0, 3000.0]
    assert carried.changed[:2] == (
        "time to lock of coupe 15:00, was 20:00: from its beginning to the last lock, less 5:00 of set change",
        "time to lock of trio 50:00, was 30:00: from its beginning to the last lock",
    )


def test_a_set_changed_and_locked_sooner_than_its_change_is_planned_keeps_both():
    shots = [{"name": "coupe", "light": "LED 2000 lx", "set_change": "15 min", "heroes": [{"flavour": "vanilla"}]}]
    calls = [*locking("coupe", 0, 300, 400, 699), (4000, "note", {"text": "late"})]
    carried = next_plan(review_of(session(*calls, shots=shots)), dt.date(2026, 7, 15))
    assert float(carried.plan.shots[0].locks_s) == 1200.0
    assert "time to lock of coupe: changed and locked in 11:39, the change alone is 15:00" in carried.left


@pytest.mark.parametrize("calls", [locking("coupe", 0, 10, 20), locking("coupe", 0, 10, 20, 30), []])
def test_a_shot_that_was_never_or_at_once_locked_keeps_its_time_to_lock(calls):
    review = review_of(session(*calls, (4000, "note", {"text": "late"})))
    carried = next_plan(review, dt.date(2026, 7, 15))
    assert float(carried.plan.shots[0].locks_s) == float(review.session.plan.shots[0].locks_s)
    assert any(words.startswith("time to lock of coupe: ") for words in carried.left) == bool(calls)


def report_tables(*calls, **changes):
    review = review_of(session(*calls, **changes))
    report = report_of(review, (), (), next_plan(review, dt.date(2026, 7, 15)), Gaps(), MADE)
    return {table.title: table.rows for table in report.tables}


def test_the_report_has_every_delivery():
    truck = {"day": "2026-06-13", "from_time": "7:00", "cartons": 9}
    calls = [
        (0, "delivery", {"core_c": -21.0, "cartons": 8, "damage": "a lid open"}),
        (60, "delivery", {"core_c": -9.0}),
    ]
    (first, second) = report_tables(*calls, delivery=truck, date="2026-06-20", timezone="UTC")["Deliveries"]
    assert first == ("14 Jun, 10:00", "−21.0 °C", "−18 °C", "8 of 9", "a lid open", "in time")
    assert second[3:5] == ("not counted", "none noted")
    assert second[5].startswith("it came at −9 °C, warmer than −15 °C")
    assert "Deliveries" not in report_tables((0, "note", {"text": "none"}))


def test_the_report_counts_the_pulls_of_each_block():
    calls = [(0, "shot", COUPE)]
    calls += [(10 * n, "pull", {"scoop": n, "flavour": "vanilla", "to": "box"}) for n in range(1, 10)]
    calls += [
        (95, "tub_finished", {"flavour": "vanilla"}),
        (100, "pull", {"scoop": 10, "flavour": "vanilla", "to": "box"}),
    ]
    rows = report_tables(*calls, tub={"size": "3 gallon", "cut": 3}, timezone="UTC")["Pulls a block"]
    assert rows == (
        ("vanilla", "tub 1 block 1", "9", "9", "finished 10:01"),
        ("vanilla", "tub 1 block 2", "1", "9", "8 left"),
    )
