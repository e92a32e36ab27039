#!/usr/bin/env python3
"""merge_git.py FOLDER HISTORIES SEED - merges random histories of a book with real git, and checks what comes of it.

All commits of all histories are written in one go (git fast-import). Then each is merged: two branches both ways,
a third one on top, and the two merges of branches that were merged crosswise before. Every entry has a number of
its own in doc=, by which it is followed. Prints what was counted, as NAME VALUE lines, and each fault as FAULT ...
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


def fault(name, *words):
    print("FAULT", name, *words)


def check(name, base, ours, theirs, merged, conflict):
    """Nothing lost, nothing doubled, nothing chosen."""
    b, o, t = said(base)[0], said(ours)[0], said(theirs)[0]
    m, within, blocks = said(merged)
    if conflict != (blocks > 0):
        fault(name, "git says", conflict, "and there are", blocks, "conflicts")
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
                    fault(name, "lost", one)
        elif mine != was and yours != was and mine != yours:
            fault(name, "chosen without a word:", mine, "or", yours)
        else:
            want = yours if mine == was else mine
            if now != ([want] if want else []):
                fault(name, "wanted", want, "got", now)
            counts["settled"] += 1
    for number in set(m) - set(b) - set(o) - set(t):
        fault(name, "invented", number)


# ---- the histories

made = []
stream = []
marks = 0


def commit(branch, book, parents):
    global marks
    marks += 2
    data = text(book)
    stream.append(b"blob\nmark :%d\ndata %d\n%s\n" % (marks - 1, len(data), data))
    head = b"commit refs/heads/%s\nmark :%d\ncommitter a <a@example.org> 1770000000 +0000\ndata 1\nx\n" % (branch.encode(), marks)
    for i, parent in enumerate(parents):
        head += (b"from" if i == 0 else b"merge") + b" :%d\n" % parent
    stream.append(head + b"M 100644 inline .gitattributes\ndata 17\n*.wy merge=withy\n\n" + b"M 100644 :%d book.wy\n\n" % (marks - 1))
    return marks


for h in range(histories):
    base = [entry(n) for n in range(rng.randint(0, 12) if h % 4 else 60)]
    sides = [changed(base, 1000 * (s + 1), rng.randint(1, 8)) for s in range(3)]
    if rng.random() < 0.3:  # both write the same line
        both = entry(9000)
        sides[0].append(both)
        sides[1].append(dict(both))
    root = commit("base%d" % h, base, [])
    for s, side in enumerate(sides):
        commit("side%d-%d" % (h, s), side, [root])
    made.append((base, sides))
git("fast-import", "--quiet", data=b"".join(stream))


def merge(a, b):
    """The tree that git makes of two branches, the book in it, and whether git reports a conflict."""
    done = git("merge-tree", "--write-tree", "--no-messages", a, b, check=False)
    if done.returncode not in (0, 1):
        sys.exit("git merge-tree %s %s: %s" % (a, b, done.stderr.decode()))
    tree = done.stdout.split()[0].decode()
    counts["merges"] += 1
    return tree, git("cat-file", "blob", tree + ":book.wy").stdout, done.returncode == 1


def joined(tree, *parents):
    return git("commit-tree", tree, "-m", "x", *[w for p in parents for w in ("-p", p)]).stdout.decode().strip()


def stored(book, *parents):
    blob = git("hash-object", "-w", "--stdin", data=text(book)).stdout.strip()
    attributes = git("rev-parse", parents[0] + ":.gitattributes").stdout.strip()
    listed = b"100644 blob %s\tbook.wy\n100644 blob %s\t.gitattributes\n" % (blob, attributes)
    return joined(git("mktree", data=listed).stdout.decode().strip(), *parents)


for h, (base, sides) in enumerate(made):
    one, two, three = ("side%d-%d" % (h, s) for s in range(3))
    base, texts = text(base), [text(s) for s in sides]
    tree, ours, conflict = merge(one, two)
    _, theirs, other = merge(two, one)
    check("%d" % h, base, texts[0], texts[1], ours, conflict)
    check("%d turned" % h, base, texts[1], texts[0], theirs, other)
    if conflict != other or (not conflict and ours != theirs):
        fault(h, "the two directions differ")
    if conflict:
        continue
    both = joined(tree, one, two)
    _, all3, conflict = merge(both, three)
    check("%d third" % h, base, ours, texts[2], all3, conflict)
    if h % 3 == 0:  # crosswise: each side merges the other, goes on, and they meet again
        start = list({e["doc"]: e for e in sides[1] + sides[0]}.values())
        ahead = [stored(changed(start, 20000, 4), one, two), stored(changed(start, 21000, 4), two, one)]
        data = [git("cat-file", "blob", c + ":book.wy").stdout for c in ahead]
        _, met, conflict = merge(*ahead)
        m, within, _ = said(met)
        for side in data:
            for number, words in said(side)[0].items():
                if number >= 20000 and words[0] not in m.get(number, []) and (number, words[0]) not in within:
                    fault(h, "crosswise: lost", words[0])
        counts["crossed"] += 1
for name, value in counts.items():
    print(name, value)
