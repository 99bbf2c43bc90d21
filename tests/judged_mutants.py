"""Mutants that were read and found to change nothing anybody could see: module, line, change, and why."""

JUDGED: dict[tuple[str, str, str], str] = {
    ("session.forecast", "SLUMP_AHEAD_S = np.array([0.0, 120, 600, 3600])", "constant: 120  ->  121"):
        "a point of the grid of placings, a second later; between them is a line",
    ("session.forecast", "SLUMP_AHEAD_S = np.array([0.0, 120, 600, 3600])", "constant: 0.0  ->  1.0"):
        "a point of the grid of placings, a second later; between them is a line",
    ("session.forecast", "SLUMP_AHEAD_S = np.array([0.0, 120, 600, 3600])", "constant: 3600  ->  3601"):
        "a point of the grid of placings, a second later; between them is a line",
    ("session.forecast", "waited = max(ahead - walk, 0.0)", "constant: 0.0  ->  1.0"):
        "a wait of a second at least before a walk: no body warms in it",
    ("session.mending", "if (index + 1) % _CHECKPOINT_EVERY == 0:",
     "condition: if (index + 1) % _CHECKPOINT_EVERY == 0:  ->  if not (index + 1) % _CHECKPOINT_EVERY == 0:"):
        "which states are kept, only to save folding them again",
    ("session.placing", "if one is not None and usable_s(one, max(desk.at, hero.end.early)) <= 0.0:", "constant: 0.0  ->  1.0"):
        "what is left of a window is then less than a second",
    ("session.reading", "MOST_ENTRIES, MOST_BAD = 250_000, 10_000", "constant: 250000  ->  250001"):
        "one entry more than a year of shoots has",
    ("thermal.bands", "early, late = (round(share * (DRAWS - 1)) for share in (BAND[0], BAND[-1]))", "constant: 1  ->  2"):
        "the same rank of the draws, or the one beside it",
    ("thermal.body", "_FIRST_STEP_S = 0.3  # own rule: one that is too long is taken again, shorter",
     "constant: 0.3  ->  0.44999999999999996"): "where a solution begins to choose its steps, which its tolerance does",
    ("thermal.foot", "_CLOSE_J_KG = 100.0  # a change that small moves no front by a cell", "constant: 100.0  ->  150.0"):
        "when what was worked out is taken again; moves no front by a cell either",
    ("thermal.pack", "inside = times[(times > begin + 1e-9) & (times < end - 1e-9)]",
     "constant: 1e-09  ->  1.5000000000000002e-09"): "how near two moments are one",
    ("trial.crew", "self._forecast_at = -FORECAST_EVERY_S", "sign: -FORECAST_EVERY_S  ->  +FORECAST_EVERY_S"):
        "the first shot's call has the first forecast worked out anyway",
    ("trial.rehearsing", "_left(at, hero.since, crisp) if at < crisp else 0.0,", "compare: at < crisp  ->  at <= crisp"):
        "at that moment none is left, either way",
    ("trial.spans", "foot = foot * np.where(far < 0.0, (foot / sooner) ** far, (later / foot) ** far)",
     "compare: far < 0.0  ->  far <= 0.0"): "at 0 both are 1",
    ("session.forecast", "mix = mix_names(plan, flavours[:1])[flavours[0]]", "constant: 1  ->  2"):
        "one name more is looked up, and not asked for",
    ("session.journal", "self._refused = False", "constant: False  ->  True"): "before the first write it is looked whether the file is there",
    ("session.journal", "if before is None or _mark(path) != before:", "compare: before is None  ->  before is not None"):
        "a file that did not change is read once more",
    ("session.reading", 'while not scan.full and (end := data.find(b"\\n", begin)) >= 0:',
     "compare: (end := data.find(b'\\n', begin)) >= 0  ->  (end := data.find(b'\\n', begin)) > 0"): "a line's end is never the first byte: it is looked for after the header",
    ("session.reading", 'while not scan.full and (end := data.find(b"\\n", begin)) >= 0:', "constant: 0  ->  1"):
        "a line's end is never the first byte: it is looked for after the header",
    ("session.learning", "yield from ((at, scoop.number, what, True) for what, at in last.items() if seen.get(what, -1.0) < at)",
     "constant: 1.0  ->  1.5"): "before the session's first second, either way",
    ("thermal.body", "if c.soft[j] < _NEAR * c.limit[j]:",
     "compare: c.soft[j] < _NEAR * c.limit[j]  ->  c.soft[j] <= _NEAR * c.limit[j]"): "a layer exactly as thick as that",
    ("thermal.material", "theta = np.concatenate([[0.0], np.cumsum((k[1:] + k[:-1]) / 2 * np.diff(t))])", "constant: 0.0  ->  1.0"):
        "where the potential of conduction is 0: only differences of it count",
    ("thermal.tub", "_SAFETY = 0.9", "constant: 0.9  ->  1.35"): "a longer step that is stable still, and hours within 0.5 %",
    ("trial.answer", "return min(USUAL_DAYS, max(LEAST_DAYS, USUAL_WORK // max(carried, 1)))", "constant: 1  ->  2"):
        "a day on which nobody is carried is tried as often as most",
    ("trial.figures", "tubs, holds = int(product.tubs.value or 0), int(product.scoops_a_tub.value or 0)", "constant: 0  ->  1"):
        "a plan whose tubs are not known was refused before",
    ("thermal.grid", "@dataclass(frozen=True, slots=True, eq=False)", "constant: False  ->  True"): "nobody compares two",
    ("session.mending", "return mend.entry if amends(mend) and mend.entry < mend.n else None",
     "operator: amends(mend) and mend.entry < mend.n  ->  amends(mend) or mend.entry < mend.n"): "what comes later is not there yet to be told again",
    ("thermal.pack", "wiped = [index for index in range(first, t.size - 1) if t[index] <= since + 1e-9]",
     "constant: 1e-09  ->  1.5000000000000002e-09"): "how near two moments are one",
    ("thermal.plate", "@dataclass(frozen=True, slots=True, eq=False)", "constant: False  ->  True"): "nobody compares two",
    ("session.journal", "_LAST_BYTES = 4096", "constant: 4096  ->  4097"): "how much of the end is looked at",
    ("session.learning", "reached = np.minimum(reached, np.where(due <= passed + one.seconds, due, np.inf))",
     "compare: due <= passed + one.seconds  ->  due < passed + one.seconds"): "what comes at the very end of a stretch is there as the next begins",
    ("trial.crew", "if hero.number not in self.seen_gone and self.at >= self._notice[hero.number]:",
     "compare: self.at >= self._notice[hero.number]  ->  self.at > self._notice[hero.number]"): "noticed in that second to the last bit",
    ("trial.truth", 'self._warmer_k = WARM_K if dice.happens("freezer_door", 0) else 0.0', "constant: 0  ->  1"): "another draw, as likely",
    ("trial.truth", 'of_mix = self._dice.normal("mix " + mix, 0) * learn.MIX_SD', "constant: 0  ->  1"): "another draw, as likely",
    ("trial.truth", 'return self._dice.normal("set", 0) * learn.SET_SD + of_mix + self._dice.normal("scoop", scoop) * learn.SCOOP_SD',
     "constant: 0  ->  1"): "another draw, as likely",
    ("thermal.bands", "plain = (early > 0.0) & np.isfinite(late)", "constant: 0.0  ->  1.0"): "what comes within a second is reckoned the longer way, to the same",
    ("thermal.body", "if np.count_nonzero(self.alive) < 0.8 * self.alive.size:",
     "compare: np.count_nonzero(self.alive) < 0.8 * self.alive.size  ->  np.count_nonzero(self.alive) <= 0.8 * self.alive.size"):
        "when what rests is let go, only to save time",
    ("thermal.body", "pieces = [(piece.surroundings, piece.seconds, False) for piece in case.pieces if piece.seconds > 0.0]",
     "compare: piece.seconds > 0.0  ->  piece.seconds >= 0.0"): "in no time nothing happens",
    ("thermal.learn", "return NormalDist(held.mean + held.stdev * slope, held.stdev * math.sqrt(max(1 - slope * (slope - at), 1e-6)))",
     "constant: 1e-06  ->  1.5e-06"): "a spread a thousandth of what it was, or a little more",
    ("session.forecast", "before = tuple(piece for piece in pieces if piece.seconds > 0)",
     "compare: piece.seconds > 0  ->  piece.seconds >= 0"): "in no time nothing happens",
    ("session.learning", "yield from ((at, scoop.number, what, True) for what, at in last.items() if seen.get(what, -1.0) < at)",
     "compare: seen.get(what, -1.0) < at  ->  seen.get(what, -1.0) <= at"): "seen and not yet there in one second: either may be told",
    ("session.mending", "SPREAD = 8", "constant: 8  ->  9"): "which states are kept, only to save folding them again",
    ("session.mending", "return entry.run in self.runs and (not self.told or self.told[-1].at <= self.seconds(entry))",
     "compare: self.told[-1].at <= self.seconds(entry)  ->  self.told[-1].at < self.seconds(entry)"):
        "what comes in the same second is put last by the longer way, too",
    ("trial.luck", "return bool(self._stream(purpose, number).random() < share)",
     "compare: self._stream(purpose, number).random() < share  ->  self._stream(purpose, number).random() <= share"):
        "a draw that is the share to the last bit",
    ("thermal.bands", "drawn += added", "operator: drawn += added  ->  drawn -= added"): "what is drawn is as often above as below",
    ("thermal.body", "_SAFETY, _LEAST, _MOST = 0.9, 0.2, 4.0", "constant: 4.0  ->  6.0"):
        "by how much a step may grow; what it comes to is held by its tolerance",
    ("thermal.properties", "plain = np.where(unfrozen > _TRACE, weighted / np.maximum(unfrozen, _TRACE), 1.0)", "constant: 1.0  ->  1.5"):
        "what conducts where there is nothing but ice",
    ("thermal.tub", "last = min(int((high - table.first) / table.step) + 2, POINTS - 1)", "constant: 1  ->  2"):
        "a bound on the step, one point of the table farther",
    ("mixes", 'model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)', "constant: True  ->  False"): "built at once instead of when first needed",
    ("thermal.sauce", 'if max(np.max(size[: self.touch]) * 1000.0, np.max(size[self.touch :])) < _CLOSE:',
     "compare: max(np.max(size[:self.touch]) * 1000.0, np.max(size[self.touch:])) < _CLOSE  ->  max(np.max(size[:self.touch]) * 1000.0, np.max(size[self.touch:])) <= _CLOSE"):
        "as near as that to the last bit",
    ("session.forecast", "if climate is None or known is not state:", "compare: climate is None  ->  climate is not None"):
        "the climate of one state is made once more",
    ("session.mending", "ledger._refold(0)", "constant: 0  ->  1"): "there is no state kept yet but the first",
    ("session.mending", "if (index + 1) % _CHECKPOINT_EVERY == 0:", "operator: index + 1  ->  index - 1"):
        "which states are kept, only to save folding them again",
    ("session.cues", "return _iced_at(desk) + FOG_S if cleared < _iced_at(desk) else -math.inf",
     "compare: cleared < _iced_at(desk)  ->  cleared <= _iced_at(desk)"): "put down and cleared away in one second",
    ("session.mending", "if (index + 1) % _CHECKPOINT_EVERY == 0:",
     "compare: (index + 1) % _CHECKPOINT_EVERY == 0  ->  (index + 1) % _CHECKPOINT_EVERY != 0"):
        "which states are kept, only to save folding them again",
    ("session.state", "return next(number for number in range(1, HIGHEST_NUMBER + 1) if number not in self.scoops)",
     "operator: HIGHEST_NUMBER + 1  ->  HIGHEST_NUMBER - 1"): "a session that has all but two of 99,999 scoops",
    ("session.state", "return next(number for number in range(1, HIGHEST_NUMBER + 1) if number not in self.scoops)", "constant: 1  ->  2"):
        "a session that has all of 99,999 scoops; where the search begins a test has",
    ("session.learning", "tuple(Piece(one.around, one.seconds / float(slow)) for one in earlier if one.seconds > 0),",
     "compare: one.seconds > 0  ->  one.seconds >= 0"): "in no time nothing happens",
    ("session.learning", "tuple(Piece(one.around, one.seconds / float(slow)) for one in earlier if one.seconds > 0),", "constant: 0  ->  1"):
        "a second at most of a body's life is left out",
    ("trial.luck", "self._times[what] = self._times.get(what, 0) + 1", "constant: 0  ->  1"): "other draws, as likely",
    ("thermal.bands", "tau, own, *residuals = np.linalg.solve(np.linalg.cholesky(np.cov(mixed, bias=True)), mixed)", "constant: True  ->  False"):
        "a spread that is a thousandth less",
    ("thermal.bands", "np.multiply(np.log(np.where(plain, early, 1.0) / one)[..., None], far[:quick], out=drawn[..., :quick])",
     "constant: 1.0  ->  1.5"): "stands for what is worked out apart below",
    ("thermal.bands", "np.multiply(np.log(np.where(plain, late, 1.0) / one)[..., None], far[quick:], out=drawn[..., quick:])",
     "constant: 1.0  ->  1.5"): "stands for what is worked out apart below",
    ("thermal.body", "good = (error <= 1.0) & self.alive", "compare: error <= 1.0  ->  error < 1.0"): "an error that is its tolerance to the last bit",
    ("thermal.body", "self.edged = bool(np.any(self.c.edges > 0.0))", "compare: self.c.edges > 0.0  ->  self.c.edges >= 0.0"):
        "what edges take is reckoned, and is nothing, where there are none",
    ("thermal.body", "return every[:1] if len(set(every)) == 1 else every", "constant: 1  ->  2"): "a grid keeps one exponent of several that are alike itself",
    ("thermal.grid", "first = max(int(rows.argmax()) - 1, 0)", "constant: 1  ->  2"): "one ring more is looked at, in which nothing is soft",
    ("thermal.form", "EDGE_RISES = np.linspace(0.0, 2.0, 201)", "constant: 201  ->  202"): "how finely a table is made, between whose points is a line",
    ("mixes", "raise MixError(f\"{field}: {first['msg'][:1].lower()}{first['msg'][1:]}\") from None", "constant: 1  ->  2"):
        "the second letter is a small one anyway",
    ("thermal.pack", "@dataclass(frozen=True, slots=True, eq=False)", "constant: False  ->  True"): "nobody compares two",
    ("thermal.sauce", "_CELL_M, _GROWTH = 0.01e-3, 1.10", "constant: 1e-05  ->  1.5000000000000002e-05"): "how finely it is reckoned",
    ("thermal.sauce", "old = now * self.held + (then * before[0] if before else 0.0)", "constant: 0.0  ->  1.0"):
        "a joule a kilogram in the first step of a thousandth of a second",
    ("session.mending", "return began if began + tick >= self._last_at - NEAR_S else None",
     "compare: began + tick >= self._last_at - NEAR_S  ->  began + tick > self._last_at - NEAR_S"): "a clock that is off by just that, to the last bit",
    ("session.forecast", "SLUMP_AHEAD_S = np.array([0.0, 120, 600, 3600])", "constant: 600  ->  601"):
        "a point of the grid of placings, a second later; between them is a line",
    ("session.forecast", "before = tuple(piece for piece in pieces if piece.seconds > 0)", "constant: 0  ->  1"):
        "a second at most of a body's life is left out",
    ("trial.helps", "cold = shot.plate_at_c is not None and shot.plate_at_c <= CHILLED_C",
     "compare: shot.plate_at_c <= CHILLED_C  ->  shot.plate_at_c < CHILLED_C"): "chilled to what it has, the shot is the same",
    ("trial.spans", "_OFF = np.linspace(-1.2, 1.2, 49)", "constant: 1.2  ->  1.7999999999999998"): "how far and finely a table is made, between whose points is a line",
    ("thermal.firmness", "if firmness(mix, cold) <= SCOOPABLE:", "compare: firmness(mix, cold) <= SCOOPABLE  ->  firmness(mix, cold) < SCOOPABLE"):
        "halving comes to the same setting",
    ("thermal.edge", "np.divide(np.log1p(np.maximum(change, -1.0)), slope, out=span, where=np.abs(change) >= 1e-9)", "constant: 1e-09  ->  1.5000000000000002e-09"): "how near a line a rise is taken for one",
    ("thermal.pack", "first = int(np.searchsorted(t, since - 1e-9))", "constant: 1e-09  ->  1.5000000000000002e-09"): "how near two moments are one",
    ("session.placing", "OUT_S = 3.0", "constant: 3.0  ->  4.5"):
        "a second and a half of the minutes of which two ways to replace heroes are compared",
    ("thermal.body", "if not good.all():  # a step that fell over a bend of a curve is tried again with the steeper slope beyond it",
     "condition: if not good.all():  ->  if not not good.all():"): "how a step is tried again that failed its tolerance; what it comes to is held by that",
    ("thermal.foot", "layer_m: float = 0.02e-3", "constant: 2e-05  ->  3.0000000000000004e-05"):
        "how finely it is reckoned, which the speed run holds against finer cells",
    ("thermal.foot", "mix_m: float = 0.02e-3", "constant: 2e-05  ->  3.0000000000000004e-05"):
        "how finely it is reckoned, which the speed run holds against finer cells",
    ("thermal.foot", "rim_m: float = 0.03e-3", "constant: 3e-05  ->  4.5e-05"):
        "how finely it is reckoned, which the speed run holds against finer cells",
    ("thermal.foot", "first_s: float = 2e-3", "constant: 0.002  ->  0.003"):
        "how finely it is reckoned, which the speed run holds against finer cells",
    ("thermal.pack", "inside = times[(times > begin + 1e-9) & (times < end - 1e-9)]", "operator: begin + 1e-09  ->  begin - 1e-09"):
        "its begin is a moment anyway",
    ("thermal.properties", "return np.where(t < 0, _integral(_HEAT[\"cold water\"], t), _integral(_HEAT[\"warm water\"], t))",
     "compare: t < 0  ->  t <= 0"): "at 0 both are 0",
    ("trial.answer", "return max(middle - half, 0.0), min(middle + half, 1.0)", "constant: 1.0  ->  1.5"):
        "the interval ends at 1 by itself, but for rounding",
    ("trial.answer", "reasons.append((ICE, days.end_s > days.ice_out_s))", "compare: days.end_s > days.ice_out_s  ->  days.end_s >= days.ice_out_s"):
        "a day that is over in the very second in which its ice is, and too late",
    ("trial.crew", "_BEGAN = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)", "constant: 2026  ->  2027"): "any day will do",
    ("trial.crew", "_BEGAN = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)", "constant: 1  ->  2"): "any day will do",
    ("trial.crew", "_BEGAN = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)", "constant: 5  ->  6"): "any day will do",
    ("trial.crew", "_BEGAN = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)", "constant: 8  ->  9"): "any day will do",
    ("trial.crew", "_BEGAN = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)", "constant: 0  ->  1"): "any day will do",
    ("trial.crew", "self._known = 0", "constant: 0  ->  1"): "the first shot's call has the first forecast worked out anyway",
    ("trial.rehearsing", "self._locked_at = 0.0", "constant: 0.0  ->  1.0"): "set anew as each shot begins",
    ("trial.rehearsing", "self._next_frame = 0.0", "constant: 0.0  ->  1.0"): "in its first second a day has no lock, nor a frame",
    ("trial.crew", "self._next_frame = 0.0", "constant: 0.0  ->  1.0"): "in its first second a day has no lock, nor a frame",
    ("trial.crew", "self._good_frames = self._needed = 0", "constant: 0  ->  1"): "set anew as each shot begins",
    ("trial.crew", "self.locked_at = 0.0", "constant: 0.0  ->  1.0"): "set anew as each shot begins",
    ("trial.days", "open_at = np.where(door < luck.rates[\"freezer_door\"], places[(which * len(places)).astype(int)], 0)",
     "compare: door < luck.rates['freezer_door']  ->  door <= luck.rates['freezer_door']"): "a draw that is the rate to the last bit",
    ("trial.days", "if len(self._kept) * self.days * heroes < KEPT_HEROES:",
     "operator: len(self._kept) * self.days * heroes  ->  len(self._kept) * self.days / heroes"): "how much luck is kept, only to save drawing it again",
    ("trial.days", "if len(self._kept) * self.days * heroes < KEPT_HEROES:",
     "operator: len(self._kept) * self.days  ->  len(self._kept) / self.days"): "how much luck is kept, only to save drawing it again",
    ("trial.days", "if len(self._kept) * self.days * heroes < KEPT_HEROES:",
     "compare: len(self._kept) * self.days * heroes < KEPT_HEROES  ->  len(self._kept) * self.days * heroes <= KEPT_HEROES"):
        "how much luck is kept, only to save drawing it again",
    ("trial.days", "KEPT_HEROES = 1_000_000", "constant: 1000000  ->  1000001"): "how much luck is kept, only to save drawing it again",
}  # fmt: skip
_GRID = "AHEAD_S = (0.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 900.0, 1800.0, 3600.0)"
JUDGED |= {
    ("session.countdowns", _GRID, f"constant: {at}  ->  {1.5 * at}"): "a point of the grid of placings, elsewhere; between them is a line"
    for at in (15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 900.0, 1800.0, 3600.0)
}  # fmt: skip
