#!/usr/bin/python3
"""A second engine for clauses 6 and 7 of book(5): slow, plain, and written from the text alone.

    book_stock.py < BOOKS

Standard input holds books, separated by lines of `%%`. For each book this prints `book N`, then a
line `error LINE` for each reported error, by line number within the book, and then the stock at the
end: `LOT FORM TYPE GRADE CLASS PLACE N` for each batch and `sold LOT FORM TYPE GRADE CLASS PARTY N` for
what was sold, in the order of their bytes. `-` is a property that the pieces do not have.

It checks stock and nothing else. Grades are 1 to 5, the works' clock is UTC, there are no by-products.
The comments name the clauses. Where a clause has two readings, the comment says which one this is.
"""
import re
import sys
from datetime import date

GRADES = {"1", "2", "3", "4", "5"}

# A batch, and a pattern of batches, is a tuple of these properties.
PROPERTIES = ("lot", "form", "type", "grade", "class", "place")
LOT, FORM, TYPE, GRADE, CLASS, PLACE = range(len(PROPERTIES))
ANY = "*"          # in a pattern: not said, fits every word
NONE = "-"         # the pieces have none
SOLD = "$sold:"    # with the party, the place of what it was sold (6.1); alone, in a pattern, any party

# The `stock:` parts of spec/vocabulary.yaml, where their words are explained.
EVENTS = {
    "cleave": dict(lot="subject", number="sum", makes="cleft", give="into"),
    "buy": dict(lot="subject", number="sum", give="into"),
    "move": dict(take="pick", lot="subject", at="at", number="sum", give="into"),
    "tally": dict(take="pick", lot="subject", at="at", number="tally", give="stay"),
    "scrap": dict(take="pick", lot="subject", at="at", number="cull", give="stay"),
    "sell": dict(take="pick", lot="subject", at="at", number="sum", give="sold"),
    "pool": dict(take="lots", lot="lot", at="at", number="sum", give="stay"),
    "load": dict(take="pick", lot="lot", at="at", number="sum", give="subject"),
    "oven": dict(take="pick", lot="lot", at="subject", number="cull", give="stay"),
    "unload": dict(take="pick", lot="lot", at="subject", number="sum", give="into"),
    "plane": dict(take="pick", lot="subject", at="at", form="cleft", number="sum", makes="blade",
                  give="into"),
    "grade": dict(take="pick", lot="subject", at="at", form="blade", grade=NONE, number="sum",
                  give="into"),
    "issue": dict(take="pick", lot="subject", at="at", number="sum", give="into"),
    "make": dict(take="pair", lot="subject", at="at", number="one", makes="bat", give="stay"),
    "finish": dict(take="pick", lot="subject", at="at", number="one", give="into"),
    "rehandle": dict(take="pair", lot="subject", at="at", number="cull", give="stay"),
    "return": dict(take="sold", lot="subject", number="sum", give="into"),
}
CREATING = ("cleave", "buy", "pool", "make")


# ---- 3, 4: the line and its values

TOKEN = re.compile(r'(?:"(?:\\.|[^"\\])*"|[^\s"])+')
TIME = re.compile(r"(\d\d):(\d\d)(?::(\d\d))?(Z|[+-]\d\d:\d\d)?$")
DATE = re.compile(r"\d{4}-\d\d-\d\d$")


def tokens(text):
    """The words of a line, without its comment."""
    words = []
    for word in TOKEN.findall(text):
        if word.startswith("#"):
            break
        words.append(word)
    return words


def instant(day, word):
    """Seconds of UTC. The works' clock is UTC here, so a time without an offset is one of UTC."""
    hour, minute, second, offset = TIME.match(word).groups()
    seconds = ((day * 24 + int(hour)) * 60 + int(minute)) * 60 + int(second or 0)
    if offset and offset != "Z":
        shift = int(offset[1:3]) * 3600 + int(offset[4:6]) * 60
        seconds -= shift if offset[0] == "+" else -shift
    return seconds


AS_IT_IS = ("", "", "")      # the type, the grade and the class of a piece that keeps them


def labelled(value):
    """The items of a list of counts: [(label or "", number)]."""
    items = []
    for item in value.split(",") if value else []:
        label, _, number = item.rpartition(":")
        items.append((label, int(number)))
    return items


def what(label):
    """6.3: WHAT is a type, a grade, TYPE/GRADE or TYPE/GRADE/CLASS; "" where the label does not say."""
    if "/" in label:
        return (tuple(label.split("/")) + ("",))[:3]
    if label in GRADES:
        return "", label, ""
    return label, "", ""


class Line:
    """One line of the book, with what clauses 6 and 7 need to know of it."""

    def __init__(self, number, text, words):
        self.number = number
        self.text = text
        self.day = date.fromisoformat(words.pop(0)).toordinal()
        self.stamp, self.instant = "", None
        if TIME.match(words[0]):
            self.stamp = words.pop(0)
            self.instant = instant(self.day, self.stamp)
        self.event, self.subject = words[:2]
        self.fields = dict(word.split("=", 1) for word in words[2:])

    def settle(self, bats, charges):
        """Fills the rest, when it is known which ids are bats and which are charges."""
        self.stock = EVENTS[self.event]
        self.take = self.stock.get("take")
        self.about_bat = self.subject in bats
        # withy-events(7): if a line of a charge has at= and no lot=, its subject is the lot.
        self.of_lot_at = self.stock.get("at") == "subject" and "at" in self.fields and "lot" not in self.fields
        self.of_charge = self.subject in charges and not self.of_lot_at
        self.creates = self.subject if self.event in CREATING or self.fields.get("found", "0") != "0" else None
        self.cull = labelled(self.fields.get("cull", ""))
        self.found = int(self.fields.get("found", 0))
        self.lots = labelled(self.fields["lot"]) if self.take == "lots" else []
        self.items = [what(label) + (n,) for label, n in labelled(self.fields.get("count", ""))]
        self.goes_on = self.pieces_that_go_on()
        self.need = self.pieces_needed()
        self.selected = self.selectors()
        self.looks = self.looks_at()
        self.meets = self.looks
        self.names = self.named(bats, charges)
        self.key = self.sort_key()

    # -- 6: what the line says

    def pieces_that_go_on(self):
        """[(type, grade, class, number)], where "" is "as they are"."""
        if "count" in self.fields:
            return self.items
        number = self.stock["number"]
        culled = sum(n for _, n in self.cull)
        if number == "cull":
            return []
        if number == "one" or self.take == "lots":
            return [AS_IT_IS + (1,)] if number == "one" else [AS_IT_IS + (sum(n for _, n in self.lots),)]
        return [AS_IT_IS + (0 if culled else 1,)]     # 6.3: one piece, which may be a culled one

    def pieces_needed(self):
        """Count plus cull (6.3)."""
        return sum(item[-1] for item in self.goes_on) + sum(n for _, n in self.cull)

    def selectors(self):
        """The six words by which the line selects pieces, given or by default (6.2); ANY if neither."""
        given = self.fields.get
        lot = self.subject
        place = given("at", ANY)
        if self.of_charge:
            lot = given("lot", ANY)
            if self.stock.get("at") == "subject":
                place = self.subject
        form = given("form", self.stock.get("form", ANY))
        if self.event in ("move", "sell", "return") and "count" not in self.fields and form == ANY:
            form = "bat"      # 6.3
        grade = given("grade", self.stock.get("grade", ANY))
        return lot, form, given("type", ANY), grade, given("class", ANY), place

    def looks_at(self):
        """7.2: the patterns of the batches that its selectors fit. cleave and buy select nothing."""
        _, form, kind, grade, weight, place = self.selected
        if self.take is None:
            return []
        if self.take == "lots":
            return [(lot,) + self.selected[FORM:] for lot, _ in self.lots]
        if self.event == "make":
            # The other selectors are about the blade, whose type, grade and class the bat has (6.6).
            return [(self.part("blade"), "blade", kind, grade, weight, place),
                    (self.part("handle"), "handle", ANY, ANY, ANY, place)]
        if self.event == "rehandle":
            # type= is about the handle (6.6).
            return [(self.subject, "bat", ANY, ANY, ANY, place),
                    (self.part("handle"), "handle", kind, ANY, ANY, place)]
        if self.take == "sold":
            return [self.selected[:PLACE] + (SOLD + self.fields.get("from", ""),)]
        if self.found > 0 and form in (ANY, "bat"):
            return [self.selected, (self.subject, "bat", ANY, ANY, ANY, ANY)]
        return [self.selected]

    def looks_in_day(self, lots_of_charge):
        """7.2: the same, where a line of a charge without lot= looks at the lots of its charge."""
        return [(l,) + p[1:] for p in self.looks for l in (lots_of_charge if p[LOT] == ANY else [p[LOT]])]

    def part(self, field):
        """The lot of blade= or handle=, which may name a piece of it."""
        return self.fields[field].split("/")[0]

    def named(self, bats, charges):
        """6.8: the lots, bats and charges that the line names."""
        names = {self.subject}
        if self.take == "lots":
            names.update(lot for lot, _ in self.lots)
        elif "lot" in self.fields:
            names.add(self.fields["lot"])
        if self.take == "pair":
            names.update(self.part(f) for f in ("blade", "handle") if f in self.fields)
        names.update(self.fields[f] for f in ("at", "into") if self.fields.get(f) in charges)
        return names

    def names_a_lot(self):
        return not self.of_charge or "lot" in self.fields

    # -- 7.2: what the line gives to

    def gives_to(self, lots_of_charge):
        """The patterns of the batches that its pieces can become. Culled pieces become nothing."""
        lot, form, kind, grade, weight, place = self.selected
        if self.stock["number"] == "cull":
            return []
        lots = [self.creates or lot]
        if lots == [ANY]:
            lots = sorted(lots_of_charge)
        made = self.stock.get("makes", form)
        if self.event != "make" and made != form:
            grade = weight = NONE
        if self.take is None:
            kind = grade = weight = NONE
        place = self.place_after(place)
        return [(l, made, t or kind, g or grade, w or weight, place)
                for l in lots for t, g, w, _ in self.goes_on]

    def place_after(self, place):
        """into=, the charge of a load, what the party was sold, or where the pieces were."""
        if self.stock["give"] == "sold":
            return SOLD + self.fields["to"]
        if self.stock["give"] == "subject":
            return self.subject
        return self.fields.get("into", place)

    # -- 7.4

    def sort_key(self):
        """Its eight parts. A missing word is "", and "-" is before every id.

        Lines that are equal in all eight say the same; the later one in the book is the error, if one is.
        """
        words = [("" if w == ANY else w) for w in self.selected]
        lot, form, kind, grade, _, place = words      # class= is one of the other fields
        if self.take == "lots":
            lot = ""
            items = [(l, "", "", n) for l, n in self.lots]
        else:
            items = self.items
        culls = [(cause, "", "", n) for cause, n in self.cull]
        used = {"lot", "at", "into", "form", "type", "grade", "blade", "handle", "tree", "found",
                "count", "cull"}
        rest = " ".join(f"{f}={v}" for f, v in sorted(self.fields.items()) if f not in used)
        given = self.fields.get
        return ((self.instant is None, self.instant or 0),
                (self.event, self.subject),
                (lot, place, given("into", ""), form, kind, grade),
                (given("blade", ""), given("handle", ""), given("tree", "")),
                self.found,
                (len(items), items),
                (len(culls), culls),
                rest,
                self.number)


def parse(text):
    """The lines of a book that change stock, and all of its lines that are events."""
    lines = []
    for number, row in enumerate(text.split("\n"), 1):
        words = tokens(row.lstrip("\ufeff"))
        if not words:
            continue
        if len(words) < 3 or not DATE.match(words[0]):
            raise ValueError(f"line {number} is not an event: {row}")
        lines.append(Line(number, row, words))
    return lines


def is_stock_line(line, bats):
    """6.7: what is sold by volume or mass without count= does not change stock, unless it is a bat."""
    if line.event == "sell" and "count" not in line.fields and line.subject not in bats:
        return "volume" not in line.fields and "mass" not in line.fields
    return line.event in EVENTS


def stock_lines(lines):
    """Those that change stock, settled. Which ids are bats and charges, the whole book says."""
    bats = {l.subject for l in lines if l.event == "make"
            or l.event in ("tally", "buy") and l.fields.get("form") == "bat"}
    charges = {l.subject for l in lines if l.event in ("load", "unload")}
    chosen = [l for l in lines if is_stock_line(l, bats)]
    for line in chosen:
        line.settle(bats, charges)
    return chosen


# ---- 7.2, 7.3: patterns, and lines that meet

def overlap(p, q):
    """There can be a batch that both patterns fit. A place that is not said is not that of sold pieces."""
    sold = [b[PLACE].startswith(SOLD) for b in (p, q)]
    if sold[0] != sold[1]:
        return False
    any_party = sold[0] and SOLD in (p[PLACE], q[PLACE])
    return all(a == b or a == ANY or b == ANY for a, b in zip(p[:PLACE], q[:PLACE])) and (
        any_party or p[PLACE] == q[PLACE] or ANY in (p[PLACE], q[PLACE]))


def any_overlap(ps, qs):
    return any(overlap(p, q) for p in ps for q in qs)


def meet(a, b):
    """7.3. `gives` was filled for the day."""
    return (any_overlap(a.meets, b.meets) or any_overlap(a.meets, b.gives)
            or any_overlap(b.meets, a.gives) or a.creates is not None and a.creates == b.creates)


def groups_of(lines):
    """Lines that meet, directly or through others, by their smallest keys (7.8). `lines` is sorted."""
    groups = []
    for line in lines:
        touched = [g for g in groups if any(meet(line, other) for other in g)]
        groups = [g for g in groups if g not in touched]
        groups.append([l for g in touched for l in g] + [line])
    for group in groups:
        group.sort(key=lambda l: l.key)
    return sorted(groups, key=lambda g: g[0].key)


# ---- 6: applying a line

class State:
    """What the book holds at a moment: batches, and by which event each lot was created."""

    def __init__(self, batches=(), created=()):
        self.batches = dict(batches)
        self.created = dict(created)

    def copy(self):
        return State(self.batches, self.created)

    def frozen(self):
        return frozenset(self.batches.items())

    def fitting(self, pattern):
        return [b for b in self.batches if overlap(pattern, b)]

    def put(self, batch, n):
        if n:
            self.batches[batch] = self.batches.get(batch, 0) + n

    def remove(self, batch, n):
        self.batches[batch] -= n
        if not self.batches[batch]:
            del self.batches[batch]


def become(line, batch, kind, grade, weight):
    """What a piece of the batch is after the line, if its item of count= has this type, grade and class."""
    lot, form, old_kind, old_grade, old_weight, place = batch
    made = line.stock.get("makes", form)
    if made != form and line.event != "make":
        old_grade = old_weight = NONE
    return (line.creates or lot, made, kind or old_kind, grade or old_grade, weight or old_weight,
            line.place_after(place))


def pick(state, pattern, need):
    """7.6: the batch with at least as many pieces; None if no batch fits and none is needed; False if not."""
    fitting = state.fitting(pattern)
    if not fitting and need == 0:
        return None
    if len(fitting) != 1 or state.batches[fitting[0]] < need:
        return False
    return fitting[0]


def pick_handle(state, pattern):
    """6.6: there is no house here, so every type fits: of several batches the first by type, grade and class."""
    return min(state.fitting(pattern), key=lambda batch: batch[TYPE:PLACE], default=None)


def is_new(state, line):
    """6.4, 7.6: a lot may be cleft several times, and after a tally; and be tallied at any time."""
    before = state.created.get(line.creates)
    return before is None or line.event == "tally" or line.event == "cleave" and before in ("cleave", "tally")


def apply(state, line):
    """(state after the line, [lots that it took pieces of]), or None if it cannot be applied."""
    if line.creates and not is_new(state, line):
        return None
    after = state.copy()
    if line.creates:
        after.created.setdefault(line.creates, line.event)
    if line.take is None:
        taken = come_in(after, line)
    elif line.take == "lots":
        taken = apply_pool(after, line)
    elif line.take == "pair":
        taken = apply_pair(after, line)
    elif line.stock["number"] == "tally":
        taken = apply_tally(after, line)
    else:
        taken = apply_pick(after, line)
    return None if taken is None else (after, taken)


def come_in(after, line):
    """cleave and buy: pieces come in, without a type, a grade and a class unless a label gives them."""
    form = line.stock.get("makes") or line.fields["form"]
    for *words, n in line.goes_on:
        if n and "into" not in line.fields:
            return None         # they would be at no place
        after.put((line.creates, form) + tuple(w or NONE for w in words) + (line.fields.get("into"),), n)
    return []


def apply_pick(after, line):
    batch = pick(after, line.looks[0], line.need)
    if batch is False:
        return None
    if batch is None or line.need == 0:
        return []
    after.remove(batch, line.need)
    for *words, n in line.goes_on:
        after.put(become(line, batch, *words), n)
    return [batch[LOT]]


def apply_pool(after, line):
    """6.4: one form, type, grade and class. A lot that gives no piece does not differ."""
    sorts, taken = set(), []
    for pattern, (lot, n) in zip(line.looks, line.lots):
        if n == 0:
            continue
        batch = pick(after, pattern, n)
        if not batch:
            return None
        after.remove(batch, n)
        after.put(become(line, batch, *AS_IT_IS), n)
        sorts.add(batch[FORM:PLACE])
        taken.append(lot)
    return taken if len(sorts) <= 1 else None


def apply_pair(after, line):
    """6.6. make takes a blade and a handle. rehandle takes a handle; the bat stays as it is."""
    first, handle = pick(after, line.looks[0], 1), pick_handle(after, line.looks[1])
    if not first or not handle:
        return None
    after.remove(handle, 1)
    if line.event == "rehandle":
        return [handle[LOT]]
    after.remove(first, 1)
    after.put(become(line, first, *AS_IT_IS), 1)
    return [first[LOT], handle[LOT]]


def bats_in_stock(state, line):
    return len(state.fitting((line.subject, "bat", ANY, ANY, ANY, ANY)))


def apply_tally(after, line):
    """6.5. The pieces found join the batch. If there is none, form= and type= say what they are."""
    state_before = after.copy()
    fitting = after.fitting(line.looks[0])
    if len(fitting) > 1:
        return None
    have = after.batches[fitting[0]] if fitting else 0
    if line.need != have + max(line.found, 0):
        return None
    if line.need == 0:
        return []
    if fitting:
        batch = fitting[0]
        after.remove(batch, have)
    else:
        if ANY in (line.selected[FORM], line.selected[TYPE]):
            return None
        batch = tuple(NONE if word == ANY else word for word in line.selected)
    if batch[FORM] == "bat" and line.found and bats_in_stock(state_before, line) + line.found > 1:     # 6.5
        return None
    for *words, n in line.goes_on:
        after.put(become(line, batch, *words), n)
    return [batch[LOT]]


# ---- 7.5, 7.7: the order of a group

def next_lines(left):
    """7.1: the lines of the earliest instant that is left, and those without a time."""
    timed = [l.instant for l in left if l.instant is not None]
    first = min(timed) if timed else None
    return [l for l in left if l.instant is None or l.instant == first]


def first_order(state, group):
    """7.5: the first valid order, by trying all in their order; None if there is none.

    (lines left, stock) that led nowhere once is not tried again: what follows depends on nothing
    else. Which lots were created depends on the lines that are left.
    """
    dead = set()

    def search(state, left):
        if not left:
            return []
        place = (tuple(l.number for l in left), state.frozen())
        if place in dead:
            return None
        for line in next_lines(left):
            done = apply(state, line)
            if done:
                order = search(done[0], [l for l in left if l is not line])
                if order is not None:
                    return [line] + order
        dead.add(place)
        return None

    return search(state, group)


def gives_to(a, b):
    return any_overlap(a.gives, b.meets)


def line_that_fails(state, doubt, group):
    """7.7: (the line that cannot be applied, what is doubtful when it is found)."""
    left, doubt = list(group), set(doubt)
    while True:
        for line in next_lines(left):
            done = apply(state, line)
            if done:
                break
        else:
            break
        state = done[0]
        spread(doubt, line, done[1])
        left.remove(line)
    may_come = next_lines(left)
    free = [l for l in may_come if not any(gives_to(o, l) for o in may_come if o is not l)]
    return (free or may_come)[0], doubt


# ---- 6.8: doubt

def spread(doubt, line, taken):
    """Doubt follows the pieces of a line that was applied; `taken` are the lots of those pieces."""
    if line.event == "load" and any(item[-1] for item in line.goes_on) and doubt & set(taken):
        doubt.add(line.subject)
    if (line.creates or line.event == "rehandle") and doubt & set(taken):
        doubt.add(line.subject)     # it is made of these pieces, or has such a handle now
    if line.of_charge and not line.names_a_lot() and line.subject in doubt:
        doubt.update(taken)


class Book:
    """The stock of a book, day by day."""

    def __init__(self, lines):
        self.lines = lines
        self.state = State()
        self.doubt = set()
        self.errors = []
        for day in sorted({l.day for l in lines}):
            self.apply_day(sorted((l for l in lines if l.day == day), key=lambda l: l.key))

    def lots_of_charge(self, charge, lines):
        """7.2: those that it holds when the day begins, and those of the day's lines that name it."""
        return ({b[LOT] for b in self.state.batches if b[PLACE] == charge}
                | {l.creates or l.selected[LOT] for l in lines
                   if charge in (l.subject, l.fields.get("at"), l.fields.get("into")) and l.selected[LOT] != ANY})

    def apply_day(self, lines):
        for line in lines:
            line.charge_lots = self.lots_of_charge(line.subject, lines) if line.of_charge else set()
            line.gives = line.gives_to(line.charge_lots)
            line.meets = line.looks_in_day(line.charge_lots)
        for group in groups_of(lines):
            self.apply_group(group)

    def apply_group(self, group):
        order = first_order(self.state, group)
        while order is None:
            # The doubt that counts for a line is the one at the step at which it fails.
            line, doubt = line_that_fails(self.state, self.doubt, group)
            if not line.names & doubt:
                self.errors.append(line.number)
            self.doubt |= line.names
            if not line.names_a_lot():
                self.doubt |= line.charge_lots
            group = [l for l in group if l is not line]
            order = first_order(self.state, group)
        for line in order:
            self.state, taken = apply(self.state, line)
            spread(self.doubt, line, taken)

    def report(self):
        here, sold = [], []
        for batch, n in self.state.batches.items():
            if batch[PLACE].startswith(SOLD):
                sold.append(" ".join(("sold",) + batch[:PLACE] + (batch[PLACE][len(SOLD):], str(n))))
            else:
                here.append(" ".join(batch + (str(n),)))
        return [f"error {number}" for number in sorted(self.errors)] + sorted(here) + sorted(sold)


def books(text):
    """The texts between lines of %%."""
    rows = [[]]
    for row in text.split("\n"):
        if row == "%%":
            rows.append([])
        else:
            rows[-1].append(row)
    if rows[-1] == [""] and len(rows) > 1:
        rows.pop()
    return ["\n".join(part) for part in rows]


def main():
    sys.stdin.reconfigure(encoding="utf-8")
    sys.stdout.reconfigure(encoding="utf-8")
    text = sys.stdin.read()
    for number, part in enumerate(books(text), 1):
        try:
            lines = parse(part)
        except ValueError as error:
            sys.exit(f"book_stock.py: book {number}: {error}")
        print("\n".join([f"book {number}"] + Book(stock_lines(lines)).report()))


if __name__ == "__main__":
    main()
