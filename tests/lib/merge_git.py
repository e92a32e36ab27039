#!/usr/bin/env python3
"""merge_git.py FOLDER HISTORIES SEED - merges random histories of a book with real git, and checks what comes of it.

Each history has a book of its own in the same few commits, so that git merges all of them at once, with one run of the
driver for each book: two branches both ways, a third one on top, and branches that were merged crosswise before. Every
entry has a number of its own in doc=, by which it is followed. Prints what was counted, as NAME VALUE lines, and each
fault as FAULT ...
"""
import os
import random
import subprocess
import sys

folder, histories, seed = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
rng = random.Random(seed)
counts = dict(merges=0, conflicts=0, settled=0, asked=0, crossed=0)


def git(*args, data=None, check=True):
    done = subprocess.run(["git", "-C", folder, *args], input=data, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    if check and done.returncode:
        sys.exit("git %s: %s" % (args, done.stderr.decode()))
    return done


# ---- books: lists of entries, each a dict of the words of a line

def entry(number):
    return {"day": rng.randint(1, 28), "time": "" if rng.random() < 0.5 else "%02d:%02d " % (rng.randint(0, 23), rng.randint(0, 59)),
            "event": "seal", "subject": "L%03d" % rng.randint(1, 60), "with": rng.choice("wax oil tar".split()), "doc": number,
            "by": rng.choice(["", " by=mk", " by=jo"]), "remark": ""}


def line(e):
    return "2026-03-%02d %sseal %s with=%s doc=%d%s%s\n" % (e["day"], e["time"], e["subject"], e["with"], e["doc"], e["by"], e["remark"])


def text(book):
    return ("# withy 1\n\n" + "".join(map(line, book))).encode()


def changed(book, first, changes):
    book = [dict(e) for e in book]
    for n in range(changes):
        what = rng.random()
        at = rng.randrange(len(book)) if book else 0
        if what < 0.5 or not book:
            book.insert(rng.choice([at, len(book)]), entry(first + n))
        elif what < 0.6:
            del book[at]
        elif what < 0.7:
            book[at]["day"] = rng.randint(1, 28)
        elif what < 0.75:
            book[at]["subject"] = "L%03d" % rng.randint(1, 60)
        else:
            book[at][rng.choice(["with", "remark"])] = rng.choice(["wax", "oil", "tar"]) if rng.random() < 0.5 else "paint"
            if book[at]["remark"]:
                book[at]["remark"] = "   # seen"
    return book


# ---- what a text says

def said(data):
    """Entries outside of conflicts by number, those within as a list, and how many conflicts there are."""
    out, within, blocks, block = {}, [], 0, False
    for row in data.decode().split("\n"):
        if row.startswith("<<<<<<<"):
            block, blocks = True, blocks + 1
        elif row.startswith(">>>>>>>"):
            block = False
        elif row.startswith("2026-"):
            words = " ".join(row.split())
            number = int(words.split("doc=")[1].split()[0])
            if block:
                within.append((number, words))
            else:
                out.setdefault(number, []).append(words)
    return out, within, blocks


def fault(of, *words):
    print("FAULT", of, *words)


def check(of, base, ours, theirs, merged, conflict):
    """Nothing lost, nothing doubled, nothing chosen."""
    b, o, t = said(base)[0], said(ours)[0], said(theirs)[0]
    m, within, blocks = said(merged)
    if conflict != (blocks > 0):
        fault(of, "git says", conflict, "and there are", blocks, "conflicts")
    counts["conflicts"] += blocks
    asked = {number for number, _ in within}
    lines = {words for _, words in within}
    for number in set(b) | set(o) | set(t):
        was, mine, yours = (x.get(number, [""])[0] for x in (b, o, t))
        now = m.get(number, [])
        if number in asked:
            counts["asked"] += 1
            for one in (mine, yours):
                if one and one != was and one not in lines and one not in now:
                    fault(of, "lost", one)
        elif mine != was and yours != was and mine != yours:
            fault(of, "chosen without a word:", mine, "or", yours)
        else:
            want = yours if mine == was else mine
            if now != ([want] if want else []):
                fault(of, "wanted", want, "got", now)
            counts["settled"] += 1
    for number in set(m) - set(b) - set(o) - set(t):
        fault(of, "invented", number)


# ---- the histories: one book of each in every tree

def name(h):
    return "%05d.wy" % h


def commit(branch, books, *parents):
    """Writes a commit of all these books."""
    head = b"commit refs/heads/%s\ncommitter a <a@example.org> 1770000000 +0000\ndata 1\nx\n" % branch.encode()
    for word, parent in zip((b"from", b"merge"), parents):
        head += word + b" refs/heads/%s\n" % parent.encode()
    files = [(".gitattributes", b"*.wy merge=withy\n")] + [(name(h), book) for h, book in books.items()]
    rows = [b"M 100644 inline %s\ndata %d\n%s\n" % (n.encode(), len(data), data) for n, data in files]
    git("fast-import", "--quiet", data=head + b"".join(rows) + b"\n")


def read(tree):
    """The books in a tree, by history."""
    rows = [row.split() for row in git("ls-tree", tree).stdout.decode().splitlines()]
    ids = {row[3]: row[2] for row in rows if row[3].endswith(".wy")}
    data = git("cat-file", "--batch", data="".join(i + "\n" for i in ids.values()).encode()).stdout
    books, at = {}, 0
    for n in ids:
        end = data.index(b"\n", at)
        size = int(data[at:end].split()[2])
        books[int(n[:-3])] = data[end + 1:end + 1 + size]
        at = end + 2 + size
    return books


def merge(a, b):
    """The books that git makes of two branches, and of which it reports a conflict."""
    done = git("merge-tree", "--write-tree", "--name-only", "--no-messages", a, b, check=False)
    if done.returncode not in (0, 1):
        sys.exit("git merge-tree %s %s: %s" % (a, b, done.stderr.decode()))
    rows = done.stdout.decode().split()
    books = read(rows[0])
    counts["merges"] += len(books)
    return books, {int(n[:-3]) for n in rows[1:]}


def all_texts(books):
    return {h: text(book) for h, book in books.items()}


bases, sides = {}, ({}, {}, {})
for h in range(histories):
    bases[h] = [entry(n) for n in range(rng.randint(0, 12) if h % 4 else 60)]
    for s in range(3):
        sides[s][h] = changed(bases[h], 1000 * (s + 1), rng.randint(1, 8))
    if rng.random() < 0.3:  # both write the same line
        both = entry(9000)
        sides[0][h].append(both)
        sides[1][h].append(dict(both))
base, (one, two, three) = all_texts(bases), map(all_texts, sides)
commit("base", base)
for branch, books in (("one", one), ("two", two), ("three", three)):
    commit(branch, books, "base")

# Two branches, in both directions
ours, conflicts = merge("one", "two")
theirs, others = merge("two", "one")
for h in range(histories):
    check("%d" % h, base[h], one[h], two[h], ours[h], h in conflicts)
    check("%d turned" % h, base[h], two[h], one[h], theirs[h], h in others)
    if (h in conflicts) != (h in others) or (h not in conflicts and ours[h] != theirs[h]):
        fault(h, "the two directions differ")

# A third one on top; of a conflict, the first branch's book is taken
ours.update({h: one[h] for h in conflicts})
commit("both", ours, "one", "two")
all3, conflicts = merge("both", "three")
for h in range(histories):
    check("%d third" % h, base[h], ours[h], three[h], all3[h], h in conflicts)

# Crosswise: each side merges the other, both go on, and they meet again
starts = {h: list({e["doc"]: e for e in sides[1][h] + sides[0][h]}.values()) for h in range(0, histories, 3)}
ahead = [{**ours, **{h: text(changed(start, first, 4)) for h, start in starts.items()}} for first in (20000, 21000)]
commit("left", ahead[0], "one", "two")
commit("right", ahead[1], "two", "one")
met, _ = merge("left", "right")
for h in starts:
    m, within, _ = said(met[h])
    for side in ahead:
        for number, words in said(side[h])[0].items():
            if number >= 20000 and words[0] not in m.get(number, []) and (number, words[0]) not in within:
                fault(h, "crosswise: lost", words[0])
    counts["crossed"] += 1
for what, value in counts.items():
    print(what, value)
