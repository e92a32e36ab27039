#!/usr/bin/python3
"""Random books for the comparison of two engines of clauses 6 and 7 of book(5).

    book_random.py SEED COUNT

Prints COUNT books, separated by lines of `%%`. The same seed gives the same books. Every line is
valid by clauses 2 to 5. No line occurs twice. Every id is introduced on its day or earlier, and is of
one kind. Most books are made of days that add up, whose times were then hidden in part; many of them
have one mistake. Some books are made of lines that have nothing to do with the stock.
"""
import random
import sys

import book_stock as engine

LOTS = ("L1", "L2", "L3", "L4", "H1", "H2", "M1", "M2")
BATS = ("B1", "B2", "B3")
CHARGES = {"K1": "north", "K2": "south"}
TREES = ("T1", "T2")
PLACES = ("bench", "store/r1", "yard", "store")
TYPES = ("SH", "S6", "-")
GRADES = ("1", "2", "3", "-")
CLASSES = ("light", "heavy", "-")
CAUSES = ("knot", "split", "stain")
PARTIES = ("hale", "tern")
FIRST_DAY = 18
LOT, FORM, GRADE, PLACE = engine.LOT, engine.FORM, engine.GRADE, engine.PLACE
WEIGHTS = {
    "tally": 12, "cleave": 7, "buy": 5, "move": 12, "scrap": 6, "sell": 8, "pool": 6, "load": 11,
    "unload": 11, "oven": 6, "plane": 8, "grade": 9, "issue": 9, "make": 7, "finish": 4, "return": 7,
    "rehandle": 8,
}
# A book dwells on one of these: its events are more frequent, and its first pieces are of these forms.
THEMES = (
    ((), ("cleft", "blade", "handle", "blade")),
    (("load", "unload", "unload", "oven"), ("cleft", "blade")),
    (("make", "make", "finish", "sell", "return", "rehandle"), ("blade", "handle")),
    (("rehandle", "rehandle", "rehandle", "tally", "move", "sell", "return"), ("handle",)),
    (("pool", "pool", "grade", "plane"), ("blade", "cleft")),
    (("sell", "sell", "return", "return"), ("blade", "handle", "cleft")),
    (("tally", "buy", "cleave"), ("cleft", "blade", "handle")),
    (("tally", "move", "issue", "scrap"), ("blade",)),
)
# The fields whose numbers a mistake may change.
COUNTED = ("count", "cull", "found")
# The fields of most lines that select pieces, besides at=.
KINDS = ("form", "type", "grade", "class")


def sold(batch):
    return batch[PLACE].startswith(engine.SOLD)


def not_a_bat(batch):
    """Some events and fields take lots and no bats (the vocabulary's `subject:`)."""
    return batch[FORM] != "bat"


class Entry:
    """A line that is still to be written."""

    def __init__(self, day, event, subject, fields):
        self.day, self.event, self.subject, self.fields = day, event, subject, dict(fields)
        self.time = None       # seconds of the day, UTC
        self.offset = None     # minutes, or "Z"

    def copy(self):
        twin = Entry(self.day, self.event, self.subject, self.fields)
        twin.time, twin.offset = self.time, self.offset
        return twin

    def stamp(self):
        if self.time is None:
            return f"2026-06-{self.day:02d}"
        shift = 0 if self.offset in (None, "Z") else self.offset
        local = self.time + shift * 60
        clock = f"{local // 3600:02d}:{local // 60 % 60:02d}"
        if local % 60:
            clock += f":{local % 60:02d}"
        if self.offset == "Z":
            clock += "Z"
        elif self.offset is not None:
            clock += f"{'-' if shift < 0 else '+'}{abs(shift) // 60:02d}:{abs(shift) % 60:02d}"
        return f"2026-06-{self.day:02d} {clock}"

    def words(self, names):
        return " ".join([self.stamp(), self.event, self.subject] + [f"{n}={self.fields[n]}" for n in names])

    def sameness(self):
        """Equal for two lines of which one would repeat the other (13.1)."""
        return self.day, self.time, self.event, self.subject, tuple(sorted(self.fields.items()))


class Author:
    """Writes one book. `state` is the stock that the true lines have led to so far."""

    def __init__(self, rnd):
        self.rnd = rnd
        self.state = engine.State()
        self.entries = []
        self.wild = rnd.random() < 0.15
        self.lots = LOTS[:rnd.randint(2, 4)] + LOTS[4:4 + rnd.randint(0, 2)] + LOTS[6:6 + rnd.randint(0, 2)]
        self.places = PLACES[:rnd.randint(2, 4)]
        events, self.forms = self.one(THEMES)
        self.bats = "rehandle" in events
        self.weights = {e: w + 15 * events.count(e) for e, w in WEIGHTS.items()}
        if self.bats:
            self.places = ("bench", "bench", "store/r1")
        self.often_bare = rnd.random()      # how often selectors are left out
        self.weighs = rnd.random() < 0.4    # whether pieces have classes

    # -- choices

    def chance(self, p):
        return self.rnd.random() < p

    def one(self, things):
        return self.rnd.choice(list(things))

    def place(self):
        return self.one(self.places)

    def held(self, fits=lambda b: True):
        """A batch of the stock with its number, or None."""
        here = sorted((b, n) for b, n in self.state.batches.items()
                      if not sold(b) and fits(b))
        return self.one(here) if here else None

    def invented(self, form=None, lot=None, place=None):
        """A batch that need not be there, for the wild books."""
        form = form or self.one(self.forms)
        grade = self.one(GRADES) if form == "blade" else "-"
        weight = self.one(CLASSES) if self.weighs else "-"
        batch = lot or self.one(self.lots), form, self.one(TYPES), grade, weight, place or self.place()
        return batch, self.rnd.randint(1, 6)

    def batch(self, fits=lambda b: True, **made):
        if self.wild:
            return self.invented(**made)
        in_charges = "place" in made or self.chance(0.04)     # 6.1: a charge is a place too
        return self.held(lambda b: fits(b) and (in_charges or b[PLACE] not in CHARGES))

    def culls(self, most):
        """cull=, of up to so many pieces."""
        fields, total = {}, 0
        if most and self.chance(0.3):
            causes = self.rnd.sample(CAUSES, 1 if self.chance(0.8) else 2)
            numbers = [self.rnd.randint(1, max(1, most // len(causes))) for _ in causes]
            if sum(numbers) <= most:
                total = sum(numbers)
                fields["cull"] = ",".join(f"{c}:{n}" for c, n in zip(causes, numbers))
        return fields, total

    def parts(self, n, labels):
        """count= of n pieces, divided among some labels; "" stands for a plain number."""
        if labels == [""]:
            return str(n)
        cuts = sorted(self.rnd.randint(0, n) for _ in labels[1:])
        numbers = [b - a for a, b in zip([0] + cuts, cuts + [n])]
        return ",".join(f"{l}:{k}" for l, k in zip(labels, numbers))

    def labels(self, kinds, grades):
        """Labels for count=, which may be types, grades or both."""
        pool = [""]
        if kinds and grades and self.chance(0.6 if self.weighs else 0.2):
            pool = [f"{t}/{g}" for t in TYPES[:2] for g in GRADES[:3]]
            if self.weighs and self.chance(0.7):
                pool = [f"{p}/{w}" for p in pool for w in CLASSES[:2]]
        elif grades and self.chance(0.6):
            pool = list(GRADES[:3])
        elif kinds:
            pool = list(TYPES[:2])
        if pool == [""]:
            return [""]
        return self.rnd.sample(pool, self.rnd.randint(1, min(2, len(pool))))

    def selectors(self, batch, allowed, given):
        """Selectors of the batch; those that are not needed are left out now and then."""
        full = dict(zip(("lot",) + KINDS + ("at",), batch))
        if not self.weighs and self.chance(0.9):
            allowed = [name for name in allowed if name != "class"]
        fields = {}
        for name in allowed:
            if name in given or not self.chance(self.often_bare):
                fields[name] = full[name]
        if fields.get("form") == "bat" and self.chance(0.5):
            del fields["form"]
        return fields

    def number(self, n):
        """How many of n pieces a line takes: often all of them, and seldom none."""
        if self.chance(0.04):
            return 0
        return n if self.chance(0.5) else self.rnd.randint(1, n)

    # -- events: each returns (subject, fields) or None

    def ev_tally(self):
        often = 0.5 if len(self.entries) < 5 or self.bats else 0.2
        if self.wild or self.chance(often) or not self.state.batches:
            return self.opening()
        held = self.held(lambda b: b[PLACE] not in CHARGES or self.chance(0.2))
        if not held:
            return None
        batch, n = held
        more = self.rnd.randint(0, 2) if self.chance(0.4) and batch[FORM] != "bat" else 0
        fields = self.selectors(batch, KINDS, ())
        fields["at"] = batch[PLACE]
        culls, culled = self.culls(min(3, n + more))
        fields.update(culls)
        if more or self.chance(0.05):
            fields["found"] = str(more)
            self.origins(fields)
        labels = self.labels(True, True) if self.chance(0.05) else [""]
        fields["count"] = self.parts(n + more - culled, labels)
        return batch[0], fields

    def origins(self, fields):
        """What describes pieces that were found; it changes nothing but the sort key (6.5, 7.4)."""
        values = {"since": ("2025-03-02", "2026-06-01"), "from": PARTIES, "origin": ("Kent", "Essex"),
                  "price": ("10.00GBP", "250GBP")}
        for name in values:
            if self.chance(0.1):
                fields[name] = self.one(values[name])

    def opening(self):
        """Pieces that the book does not know yet."""
        if self.bats:
            bat = self.chance(0.3 if self.held(lambda b: b[FORM] == "bat") else 0.6)
        else:
            bat = self.chance(0.1)
        batch, n = self.invented(form="bat", lot=self.one(BATS)) if bat else self.invented()
        made = self.held(lambda b: b[FORM] == "bat") if self.bats and not bat else None
        if made and self.chance(0.7):
            # A handle where a bat is, so that rehandle has something to do.
            batch = batch[:FORM] + ("handle",) + batch[engine.TYPE:PLACE] + (made[0][PLACE],)
        if batch[0].startswith("H") and not bat:
            batch = batch[:FORM] + ("handle", batch[2], "-") + batch[engine.CLASS:]
        if bat:
            batch, n = batch[:GRADE] + (self.one(GRADES),) + batch[engine.CLASS:], 1
            if any(e.event == "tally" and e.subject == batch[0] and "found" in e.fields for e in self.entries):
                return None
        if not self.wild and (batch[0] in self.state.created and self.chance(0.8)):
            return None
        if self.chance(0.03):
            batch = batch[:PLACE] + (self.one(CHARGES),) if self.charges_known() else batch
        fields = {"at": batch[PLACE], "form": batch[FORM], "type": batch[2]}
        for name, word in ("grade", batch[GRADE]), ("class", batch[engine.CLASS]):
            if word != "-" or self.chance(0.1):
                fields[name] = word
        fields["count"] = str(n)
        fields["found"] = str(n if not self.wild else self.rnd.randint(max(0, n - 1), n))
        if not bat and self.chance(0.08):
            fields["cull"] = "knot:1"
            fields["found"] = str(n + 1)
        self.origins(fields)
        return batch[0], fields

    def charges_known(self):
        return {e.subject for e in self.entries if e.event == "load"} >= set(CHARGES)

    def coming(self, fields):
        n = self.rnd.randint(1, 6)
        labels = self.labels(True, False) if self.chance(0.8) else self.labels(True, True)
        fields["count"] = self.parts(n, labels if self.chance(0.8) else [""])
        culls, _ = self.culls(2)
        fields.update(culls)
        fields["into"] = self.place()
        return fields

    def ev_cleave(self):
        fields = self.coming({"tree": self.one(TREES)})
        if self.chance(0.2):
            fields["rolls"] = str(self.rnd.randint(1, 3))
        if self.chance(0.05):
            del fields["into"]
            if self.chance(0.7):
                fields.update(count="0", cull="knot:1")
        return self.one(self.lots), fields

    def ev_buy(self):
        if self.chance(0.05):
            return self.one(BATS), {"form": "bat", "count": "1", "into": self.place()}
        tallied = [l for l, by in self.state.created.items() if by == "tally" and l in self.lots]
        lot = self.one(tallied) if tallied and self.chance(0.2) else self.one(self.lots)
        form = "handle" if lot.startswith("H") else self.one(self.forms)
        fields = self.coming({"form": form})
        if self.chance(0.3):
            fields["from"] = self.one(PARTIES)
        return lot, fields

    def taking(self, batch, n, allowed, given, kinds=False, grades=False, cull=True):
        """The fields of a line that takes pieces of a batch: selectors, count= and cull=."""
        fields = self.selectors(batch, allowed, given)
        takes = self.number(n)
        culls, culled = self.culls(min(takes, 2)) if cull else ({}, 0)
        fields.update(culls)
        labels = self.labels(kinds, grades) if kinds or grades else [""]
        fields["count"] = self.parts(takes - culled, labels)
        return fields

    def ev_move(self):
        if self.chance(0.3):
            bat = self.bat_line(KINDS + ("at",))
            if bat:
                bat[1]["into"] = self.place()
                return bat
        found = self.batch()
        if not found:
            return None
        fields = self.taking(*found, KINDS + ("at",), (), kinds=self.chance(0.05))
        if self.chance(0.06):
            fields.pop("count")
            if "cull" in fields:
                fields["cull"] = fields["cull"].split(":")[0] + ":1"
        fields["into"] = self.place()
        return found[0][0], fields

    def bat_line(self, allowed):
        """(bat, selectors), often without count=."""
        found = self.held(lambda b: b[FORM] == "bat")
        if self.wild:
            found = self.invented(form="bat", lot=self.one(BATS))
        if not found:
            return None
        fields = self.selectors(found[0], allowed, ())
        if self.chance(0.3):
            fields["count"] = "1"
        return found[0][0], fields

    def sold_bits(self, fields):
        """Now and then a sale says its mass, and then count= may be left out (6.7)."""
        if self.chance(0.2):
            fields["mass"] = "5kg"
            if self.chance(0.5):
                fields.pop("count", None)
        elif self.chance(0.03):
            fields.pop("count", None)

    def ev_scrap(self):
        found = self.batch()
        if not found:
            return None
        fields = self.selectors(found[0], KINDS + ("at",), ())
        fields["cull"] = f"{self.one(CAUSES)}:{min(found[1], self.rnd.randint(1, 3))}"
        return found[0][0], fields

    def ev_sell(self):
        bat = self.bat_line(KINDS + ("at",)) if self.chance(0.5) else None
        if bat:
            subject, fields = bat
        else:
            found = self.batch()
            if not found:
                return None
            subject = found[0][0]
            fields = self.taking(*found, KINDS + ("at",), (), kinds=self.chance(0.03), cull=False)
        self.sold_bits(fields)
        fields["to"] = self.one(PARTIES)
        return subject, fields

    def ev_pool(self):
        found = self.batch(not_a_bat, form="blade")
        if not found:
            return None
        batch = found[0]
        like = sorted((b, n) for b, n in self.state.batches.items() if b[FORM:] == batch[FORM:])
        if self.wild:
            like = [self.invented(lot=lot) for lot in self.rnd.sample(self.lots, 2)]
        like = self.rnd.sample(like, min(len(like), self.rnd.randint(1, 3)))
        if len(like) == 1 and self.chance(0.7):
            return None
        subject = self.one([l for l in self.lots if l.startswith("M")] or ["M1"])
        fields = self.selectors(batch, KINDS, ())
        fields["lot"] = ",".join(f"{b[0]}:{self.number(n)}" for b, n in like)
        fields["at"] = batch[PLACE]
        if any(b[0] == subject for b, _ in like):
            return None
        return subject, fields

    def ev_load(self):
        found = self.batch(not_a_bat)
        if not found:
            return None
        fields = self.taking(*found, KINDS, (), kinds=self.chance(0.05))
        fields["at"] = found[0][PLACE]
        fields["lot"] = found[0][0]
        charge = self.one(CHARGES)
        fields["kiln"] = CHARGES[charge]
        return charge, fields

    def in_charge(self, allowed):
        charge = self.one(CHARGES)
        found = self.batch(lambda b: b[PLACE] == charge, place=charge)
        if not found:
            return None
        fields = self.selectors(found[0], allowed, ())
        if self.chance(0.4):
            fields["lot"] = found[0][0]
        return charge, found, fields

    def ev_unload(self):
        got = self.in_charge(())
        if not got:
            return None
        charge, found, lot = got
        fields = self.taking(*found, KINDS, (), kinds=self.chance(0.05))
        fields.update(lot)
        fields["into"] = self.place()
        return charge, fields

    def ev_oven(self):
        drawn = self.oven_of_lot() if self.chance(0.4) else self.oven_of_charge()
        if drawn:
            drawn[1].update({"wet": "20g", "dry": "18g"})
        return drawn

    def oven_of_lot(self):
        found = self.batch(not_a_bat)
        if not found:
            return None
        fields = self.selectors(found[0], KINDS + ("at",), ("at",))
        fields["cull"] = f"{self.one(CAUSES)}:{min(found[1], self.rnd.randint(1, 2))}"
        return found[0][LOT], fields

    def oven_of_charge(self):
        got = self.in_charge(KINDS)
        if not got:
            return None
        charge, found, fields = got
        fields["cull"] = f"knot:{self.rnd.randint(1, 2)}"
        return charge, fields

    def ev_plane(self):
        found = self.batch(lambda b: b[FORM] == "cleft" or not_a_bat(b) and self.chance(0.03), form="cleft")
        if not found:
            return None
        fields = self.taking(*found, ("form", "type", "at"), ("at",), kinds=self.chance(0.1),
                             grades=self.chance(0.15))
        if self.chance(0.5):
            fields["into"] = self.place()
        return found[0][0], fields

    def ev_grade(self):
        found = self.batch(lambda b: b[FORM] == "blade" or not_a_bat(b) and self.chance(0.03), form="blade")
        if not found:
            return None
        given = ("at", "grade") if found[0][GRADE] != "-" else ("at",)
        fields = self.taking(*found, KINDS + ("at",), given, kinds=self.chance(0.2),
                             grades=self.chance(0.93))
        if self.chance(0.4):
            fields["into"] = self.place()
        return found[0][0], fields

    def ev_issue(self):
        found = self.batch(not_a_bat)
        if not found:
            return None
        fields = self.taking(*found, KINDS + ("at",), ("at",))
        fields["into"] = self.place()
        return found[0][0], fields

    def ev_make(self):
        blade = self.batch(lambda b: b[FORM] == "blade", form="blade")
        if not blade:
            return None
        handle = self.batch(lambda b: b[FORM] == "handle" and b[PLACE] == blade[0][PLACE], form="handle",
                            place=blade[0][PLACE])
        if not handle:
            return None
        fields = self.selectors(blade[0], ("type", "grade", "class", "at"), ("at",))
        fields.update({"blade": blade[0][0], "handle": handle[0][0]})
        if self.chance(0.1):
            fields["blade"] += "/01"
        return self.one(BATS), fields

    def ev_finish(self):
        bat = self.bat_line(("at",))
        if not bat:
            return None
        bat[1].pop("count", None)
        bat[1].pop("form", None)
        bat[1]["length"] = "850mm"
        if self.chance(0.6):
            bat[1]["into"] = self.place()
        return bat

    def ev_rehandle(self):
        bat = self.batch(lambda b: b[FORM] == "bat", form="bat", lot=self.one(BATS))
        if not bat:
            return None
        place = bat[0][PLACE]
        handle = self.batch(lambda b: b[FORM] == "handle" and b[PLACE] == place, form="handle", place=place)
        if not handle and self.chance(0.1):
            handle = self.invented(form="handle")       # a mistake
        if not handle:
            return None
        fields = self.selectors(handle[0], ("type",), ())
        fields.update({"handle": handle[0][LOT], "at": place, "cull": f"{self.one(CAUSES)}:1"})
        if self.chance(0.1):
            fields["handle"] += "/01"
        return bat[0][LOT], fields

    def ev_return(self):
        back = sorted((b, n) for b, n in self.state.batches.items() if sold(b))
        if self.wild:
            found = self.invented(form="bat", lot=self.one(BATS)) if self.chance(0.5) else self.invented()
            back = [(found[0][:PLACE] + (engine.SOLD + self.one(PARTIES),), found[1])]
        if not back:
            return None
        batch, n = self.one(back)
        labels = self.labels(True, True) if self.chance(0.06) and batch[FORM] != "bat" else [""]
        fields = self.selectors(batch, KINDS, ())
        if batch[FORM] != "bat" or self.chance(0.3):
            fields["count"] = self.parts(self.number(n), labels)
        elif self.chance(0.05):
            fields["count"] = "0"
        if batch[FORM] != "bat" and self.chance(0.06):
            del fields["count"]
        fields.update({"cause": "soft", "into": self.place()})
        if self.chance(0.5):
            fields["from"] = batch[PLACE][len(engine.SOLD):] if self.chance(0.9) else self.one(PARTIES)
        return batch[LOT], fields

    # -- days

    def line_of(self, entry):
        text = entry.words(entry.fields)
        line = engine.Line(0, text, engine.tokens(text))
        if not engine.is_stock_line(line, set(BATS)):
            return None
        line.settle(set(BATS), set(CHARGES))
        return line

    def add(self, entry):
        """Applies the entry and keeps it. A wild book keeps what cannot be applied too."""
        line = self.line_of(entry)
        if line is None:
            self.entries.append(entry)
            return True
        done = engine.apply(self.state, line)
        if done is None and not self.wild and not self.chance(0.01):
            return False
        if done:
            self.state = done[0]
        self.entries.append(entry)
        return True

    def write(self, day):
        """One more line of that day."""
        for _ in range(30):
            event = self.rnd.choices(list(self.weights), list(self.weights.values()))[0]
            drawn = getattr(self, "ev_" + event)()
            if not drawn:
                continue
            entry = Entry(day, event, *drawn)
            if self.chance(0.1):
                entry.fields["by"] = self.one(("mk", "jo"))
            if self.chance(0.05):
                entry.fields["doc"] = self.one(("D1", "D2"))
            if not introduced(self.entries + [entry]) or repeats(self.entries + [entry]):
                continue
            if self.add(entry):
                if self.chance(0.08):
                    self.twin(entry)
                return

    def twin(self, entry):
        """A line that differs from another only in by= or doc=."""
        twin = entry.copy()
        field = self.one(("by", "doc"))
        values = {"by": ("mk", "jo", "an"), "doc": ("D1", "D2", "D3")}[field]
        twin.fields[field] = self.one(values)
        if not repeats(self.entries + [twin]):
            self.add(twin)

    def clock(self, entries):
        """Gives some lines of a day the times of the order in which they were written."""
        share = self.one((0, 0.3, 0.5, 0.8, 1))
        now = 6 * 3600 + self.rnd.randint(0, 180) * 60
        for entry in entries:
            if not self.chance(0.25):
                now += self.rnd.randint(1, 60) * 60
                if self.chance(0.1):
                    now += self.rnd.randint(1, 59)
            if self.chance(share):
                entry.time = now
                if self.chance(0.2):
                    entry.offset = self.offset(now)

    def offset(self, seconds):
        """An offset with which the time is on the same date, or none."""
        shift = self.one(("Z", 60, 120, -60, -300, 330, 720, -660, 0))
        if shift == "Z" or 0 <= seconds + shift * 60 < 86400:
            return shift
        return None

    # -- mistakes

    def spoil(self):
        """One mistake. Nothing, if the book would then not be valid otherwise."""
        before = [e.copy() for e in self.entries]
        entry = self.one(self.entries)
        self.one((self.wrong_count, self.wrong_count, self.wrong_place, self.wrong_lot, self.dropped,
                  self.wrong_time, self.wrong_party, self.again))(entry)
        if not introduced(self.entries) or repeats(self.entries):
            self.entries = before
            return False
        return True

    def wrong_count(self, entry):
        names = [n for n in COUNTED + (("lot",) if entry.event == "pool" else ()) if n in entry.fields]
        if not names:
            return
        name = self.one(names)
        items = entry.fields[name].split(",")
        i = self.rnd.randrange(len(items))
        label, colon, number = items[i].rpartition(":")
        if entry.event == "rehandle":
            return      # 6.6: always 1
        number = max(0, int(number) + self.one((-1, 1, 1, 2)))
        items[i] = f"{label}{colon}{number}"
        if (entry.subject in BATS and name in ("count", "found")) and number > 1:
            return
        entry.fields[name] = ",".join(items)

    def wrong_place(self, entry):
        names = [n for n in ("at", "into") if n in entry.fields]
        if names:
            entry.fields[self.one(names)] = self.place()

    def wrong_lot(self, entry):
        if entry.event == "pool":
            return
        for field in ("lot", "blade", "handle"):
            if field in entry.fields:
                entry.fields[field] = self.one(self.lots)
                return
        if entry.subject in LOTS:
            entry.subject = self.one(self.lots)
        elif entry.subject in BATS:
            entry.subject = self.one(BATS)
        elif entry.subject in CHARGES and "kiln" not in entry.fields:
            entry.subject = self.one(CHARGES)

    def wrong_party(self, entry):
        names = [n for n in ("from", "to") if n in entry.fields]
        if names:
            entry.fields[self.one(names)] = self.one(PARTIES)

    def dropped(self, entry):
        self.entries.remove(entry)

    def wrong_time(self, entry):
        if entry.time is not None and entry.offset is None:
            entry.time = self.rnd.randint(5 * 60, 20 * 60) * 60
        elif entry.time is not None:
            entry.offset = self.offset(entry.time)
        else:
            entry.time = self.rnd.randint(5 * 60, 20 * 60) * 60

    def again(self, entry):
        """The same event entered once more, with another paper."""
        twin = entry.copy()
        twin.fields["doc"] = "D9"
        self.entries.append(twin)

    # -- the book

    def lines(self):
        days = self.rnd.randint(2 if self.bats else 1, 3)
        for day in range(FIRST_DAY + 1, FIRST_DAY + 1 + days):
            start = len(self.entries)
            many = self.rnd.randint(8, 9) if self.chance(0.08) else self.rnd.randint(1, 7)
            while len(self.entries) - start < many:
                before = len(self.entries)
                self.write(day)
                if len(self.entries) == before:
                    break
            self.clock(self.entries[start:])
        if self.entries and not self.wild and self.chance(0.55):
            for _ in range(1 if self.chance(0.8) else 2):
                for _ in range(5):
                    if len(self.entries) < 2 or self.spoil():
                        break
        return self.written()

    def written(self):
        rows = []
        for entry in self.entries:
            names = list(entry.fields)
            self.rnd.shuffle(names)
            row = entry.words(names)
            rows.append(row + "   # seen" if self.chance(0.02) else row)
        rows += [f"2026-06-{self.rnd.randint(FIRST_DAY - 2, FIRST_DAY):02d} fell {tree}" for tree in TREES]
        if self.chance(0.1) and self.entries:
            rows.append("# a remark")
        self.rnd.shuffle(rows)
        return rows


# ---- 13: what every book keeps to

def used_ids(entry):
    ids = {entry.subject}
    if entry.event == "pool":
        ids.update(item.split(":")[0] for item in entry.fields["lot"].split(","))
    elif "lot" in entry.fields:
        ids.add(entry.fields["lot"])
    ids.update(entry.fields[f].split("/")[0] for f in ("blade", "handle") if f in entry.fields)
    ids.update(entry.fields[f] for f in ("at", "into") if entry.fields.get(f) in CHARGES)
    return ids


def introduces(entry):
    if entry.event in ("cleave", "buy", "pool", "make", "load"):
        return True
    return entry.event == "tally" and int(entry.fields.get("found", 0)) > 0 and "form" in entry.fields


def introduced(entries):
    """Every id comes in on that day or earlier."""
    first = {}
    for entry in entries:
        if introduces(entry):
            first[entry.subject] = min(first.get(entry.subject, 99), entry.day)
    return not any(first.get(i, 99) > entry.day for entry in entries for i in used_ids(entry))


def repeats(entries):
    seen = [e.sameness() for e in entries]
    return len(set(seen)) < len(seen)


def main():
    if len(sys.argv) != 3:
        sys.exit("usage: book_random.py SEED COUNT")
    seed, count = sys.argv[1], int(sys.argv[2])
    for number in range(count):
        if number:
            print("%%")
        lines = []
        rnd = random.Random(f"{seed}/{number}")
        while len(lines) <= len(TREES):
            lines = Author(rnd).lines()
        print("\n".join(lines))


if __name__ == "__main__":
    main()
