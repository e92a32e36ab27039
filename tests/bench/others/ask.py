"""ask.py QUESTION BOOK - the four questions of the other programs, as a plain Python script answers them."""
import re
import sys
from collections import defaultdict

question, path = sys.argv[1:]
READING = re.compile(r" mc=[a-z0-9]+:([0-9.]+)%")


def entries(event):
    word = " " + event + " "
    with open(path, encoding="utf-8") as book:
        for line in book:
            if word in line:
                words = line.split()
                at = 1 if words[1] == event else 2
                if words[at] == event:
                    yield line, words, at


def air():
    sums = defaultdict(lambda: [0, 0.0, 0.0])
    for _, words, at in entries("air"):
        s = sums[words[at + 1], words[0][:7]]
        s[0] += 1
        s[1] += float(words[at + 2][5:-1])
        s[2] += float(words[at + 3][3:-1])
    for (place, month), (n, temp, rh) in sums.items():
        print(place, month, n, "%.12g" % (temp / n), "%.12g" % (rh / n), sep="\t")


def moist():
    read = defaultdict(lambda: [0, 0.0, 1e9, -1e9])
    for line, words, at in entries("probe"):
        found = READING.search(line)
        if found:
            v = float(found[1])
            r = read[words[at + 1]]
            r[0] += 1
            r[1] += v
            r[2] = min(r[2], v)
            r[3] = max(r[3], v)
    for charge, (n, total, least, most) in read.items():
        print(charge, n, "%.12g" % (total / n), "%.12g" % least, "%.12g" % most, sep="\t")


def grade():
    counts = defaultdict(int)
    for _, words, _ in entries("grade"):
        fields = dict(word.split("=", 1) for word in words[3:] if "=" in word)
        for item in fields["count"].split(","):
            grade_word, n = item.split(":")
            counts[fields["type"], grade_word] += int(n)
        for item in filter(None, fields.get("cull", "").split(",")):
            counts[fields["type"], "culled"] += int(item.split(":")[1])
    for (kind, grade_word), n in counts.items():
        print(kind, grade_word, n, sep="\t")


def count():
    print(sum(1 for _ in entries("probe")))


{"air": air, "moist": moist, "grade": grade, "count": count}[question]()
