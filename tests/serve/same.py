"""same.py SEED EDITS: random edits of a book through the language server; after each of some of them its findings are
those of wy-check on the bytes as they then are, and its formatting is what wy-tidy makes of them."""
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile

from client import Client, address, apply_edits, span, split, units

seed, edits = int(sys.argv[1]), int(sys.argv[2])
rng = random.Random(seed)
samples = os.path.join(os.path.dirname(__file__), '..', '..', 'samples')
work = tempfile.mkdtemp()
shutil.copy(os.path.join(samples, 'house.yaml'), work)
os.mkdir(os.path.join(work, 'book'))
paths = []
for name in ('2026a', '2026b', '2027a', '2027b'):
    path = os.path.join(work, 'book', name + '.wy')
    with open(os.path.join(samples, 'book', name + '.wy'), encoding='utf-8') as file:
        lines = file.readlines()
    with open(path, 'w', encoding='utf-8') as file:
        file.writelines(lines)
    paths.append(path)
extra = os.path.join(work, 'more.wy')
with open(os.path.join(samples, 'mistakes.wy'), encoding='utf-8') as file:
    words = file.read()
with open(extra, 'w', encoding='utf-8') as file:
    file.write(words)
opened = [paths[-1], extra]
text = {path: open(path, encoding='utf-8', newline='').read() for path in paths + [extra]}

pieces = ['', 'x', ' ', '\n', '\r\n', '\r', '\n\n', '#', '"', '12%', ' 12', 'L061', 'M27-07', 'Ω', '\U0001F332', 'grade=1 ', '\ufeff',
          'count=1', '# intended stock-short: seen\n', '2028-01-13 note store/r1 text="grün \U0001F332" by=jo\n',
          '2028-01-13 move C014 at=store/r1 count=20 into=store/r2 by=jo\n', '# withy 2\n', '=', ':', ',', '-', '\t', '\u2028', '\x1b']


def checked():
    """What wy-check reports, by file: line and columns as the protocol counts them, level, rule, words."""
    for path in opened:
        with open(path, 'w', encoding='utf-8', newline='') as file:
            file.write(text[path])
    sarif = subprocess.run(['wy-check', '-H', 'house.yaml', '-b', 'more.wy', '--as=sarif'], cwd=work, capture_output=True, text=True)
    import json
    found = {path: [] for path in opened}
    level = {'error': 1, 'warning': 2, 'note': 3}
    for result in json.loads(sarif.stdout)['runs'][0]['results']:
        place = result['locations'][0]['physicalLocation']
        path = os.path.join(work, place['artifactLocation']['uri'])
        if path not in found:
            continue
        region = place['region']
        found[path].append((region['startLine'], region['startColumn'], region['endColumn'], level[result['level']], result['ruleId'],
                            result['message']['text']))
    return {path: sorted(rows) for path, rows in found.items()}


def served(client, path):
    """The same of the server. A CR alone ends a line of the protocol, but not one of a book."""
    lines = split(text[path])
    number, before = [], []
    line, start = 1, 0
    for one in lines:
        number.append(line)
        before.append(start)
        if one.endswith('\n'):
            line, start = line + 1, 0
        else:
            start += units(one)
    rows = []
    for item in client.whole(path):
        a, b = item['range']['start'], item['range']['end']
        rows.append((number[a['line']], before[a['line']] + a['character'] + 1, before[a['line']] + b['character'] + 1,
                     item['severity'], item['code'], item['message']))
    return sorted(rows)


def clipped(path, rows):
    """A place behind the end of a line is its end for an editor; a range does not cross a line of the protocol."""
    lines = text[path].split('\n')
    out = []
    for line, col, end, *rest in rows:
        whole = lines[line - 1] if line <= len(lines) else ''
        shown = whole[:-1] if whole.endswith('\r') else whole
        most = units(shown) + 1
        out.append((line, *rest) if '\r' in shown else (line, min(col, most), min(end, most), *rest))
    return sorted(out)


client = Client(cwd=work)
for path in opened:
    client.open(path)
checks = 0
for number in range(edits):
    path = rng.choice(opened)
    lines = split(text[path])
    changes = []
    for _ in range(rng.choice([1, 1, 1, 3])):
        lines = split(text[path])
        line = rng.randrange(max(0, len(lines) - 60), len(lines)) if rng.random() < .7 else rng.randrange(len(lines))
        last = min(len(lines) - 1, line + rng.choice([0, 0, 0, 0, 1, 2]))
        one, other = lines[line].rstrip('\r\n'), lines[last].rstrip('\r\n')
        start, end = rng.randrange(len(one) + 1), rng.randrange(len(other) + 1)
        if line == last:
            end = min(len(one), start + rng.choice([0, 0, 1, 2, 8]))
        new = rng.choice(pieces)
        change = {'range': span(line, units(one[:start]), last, units(other[:end])), 'text': new}
        if rng.random() < .01:
            change = {'text': text[path].replace('\r', '')}
            text[path] = change['text']
        else:
            head = ''.join(lines[:line]) + one[:start]
            tail = other[end:] + lines[last][len(other):] + ''.join(lines[last + 1:])
            text[path] = head + new + tail
        changes.append(change)
    client.change(path, *changes)
    if number % 10 == 9 or number == edits - 1:
        want = checked()
        for path in opened:
            got = clipped(path, served(client, path))
            if got != clipped(path, want[path]):
                print(f'seed {seed}, edit {number}, {path}')
                a, b = set(clipped(path, want[path])), set(got)
                print('only wy-check:', sorted(a - b)[:5], '\nonly wy-serve:', sorted(b - a)[:5], len(got), len(want[path]))
                sys.exit(1)
            checks += 1
        if number % 50 == 49:
            formatted = client.ask('textDocument/formatting', {'textDocument': {'uri': address(extra)}, 'options': {}})
            tidy = subprocess.run(['wy-tidy', '-H', 'house.yaml', 'more.wy'], cwd=work, capture_output=True).stdout.decode()
            if apply_edits(text[extra], formatted) != tidy:
                print(f'seed {seed}, edit {number}: formatting differs from wy-tidy')
                sys.exit(1)
status = client.end()
shutil.rmtree(work)
print(f'{checks} comparisons alike')
sys.exit(status)
