#!/usr/bin/env python3
"""merge_clones.py FOLDER WHO EDITS - EDITS random edits of the sample book in FOLDER, of person WHO (0 or 1).

Entries that a person edits are its own: WHO picks every second one. Eight lines are added by both. Prints how many
entries were added, of them by both, and removed.
"""
import glob
import random
import re
import sys

folder, who, edits = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
rng = random.Random(7 + who)
files = sorted(glob.glob(folder + "/book/*.wy"))
books = [open(f, encoding="utf-8").read().splitlines() for f in files]
AIR = re.compile(r"(\S+) (\d\d:\d\d) air +(\S+) +temp=([0-9.]+)C .*by=")
mine = [(b, i) for b, book in enumerate(books) for i, row in enumerate(book) if AIR.match(row) and i % 2 == who]
rng.shuffle(mine)
counts = dict(added=0, both=0, removed=0)


def add(day, words):
    """Half of what people write is at the place of its day, the rest at the end of the file."""
    b = min((i for i, book in enumerate(books) if day <= book[-1][:10]), default=len(books) - 1)
    at = len(books[b])
    if rng.random() < 0.5:
        at = next((i for i, row in enumerate(books[b]) if row and row[0].isdigit() and row[:10] > day), at)
    new[b].append((at, day + words))


new = [[] for _ in books]
gone = set()
for n in range(edits):
    what = rng.random()
    b, i = mine.pop()
    row = books[b][i]
    if n < 8:
        add("2026-%02d-11" % (n + 3), '       note    store/r1 text="both were there, %d" by=mk' % n)
        counts["added"] += 1
        counts["both"] += 1
    elif what < 0.4:
        add(row[:10], ' 23:%02d note    store/r1 text="looked at it, %d and %d" by=%s' % (rng.randint(0, 59), who, n, ["mk", "jo"][who]))
        counts["added"] += 1
    elif what < 0.55:
        gone.add((b, i))
        counts["removed"] += 1
    elif what < 0.7:
        books[b][i] = row + "   # seen again"
    elif what < 0.85:
        books[b][i] = row.replace(" %s air" % AIR.match(row).group(2), " %s%d air" % (AIR.match(row).group(2)[:4], rng.randint(1, 4)), 1)
    else:
        temp = AIR.match(row).group(4)
        books[b][i] = row.replace("temp=%sC" % temp, "temp=%.1fC" % (float(temp) + 0.3), 1)
for b, book in enumerate(books):
    out = []
    for i in range(len(book) + 1):
        out += [row for at, row in new[b] if at == i]
        if i < len(book) and (b, i) not in gone:
            out.append(book[i])
    open(files[b], "w", encoding="utf-8").write("\n".join(out) + "\n")
print(counts["added"], counts["both"], counts["removed"])
