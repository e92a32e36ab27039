"""typing.py: the keys for ten common entries of the sample works: typed in full, and with the completion of wy-serve,
where a word is typed until it is the first one offered, and one key takes it. Prints the table of editors/README.md."""
import os
import shutil
import sys
import tempfile

from client import Client

ENTRIES = [
    ('air of a room', '2028-01-17 08:10 air store/r1 temp=18.5C rh=51% meter=log1'),
    ('a probe reading', '2028-01-17 08:20 probe K27-09 mc=a:11.2%,b:11.9%,c:11.4%,d:12.0% wood=24C meter=pin2 by=mk'),
    ('a setting of a kiln', '2028-01-17 09:00 set south stage=dry temp=32C rh=60%'),
    ('a lot sealed', '2028-01-17 seal L104 with=wax by=jo'),
    ('pieces moved', '2028-01-17 move L104 at=yard/b1 count=20 into=yard/b2 by=jo'),
    ('a count', '2028-01-17 tally H034 at=cane count=86 by=jo'),
    ('pieces culled', '2028-01-17 scrap M27-07 at=bench cull=split:2 by=mk'),
    ('blades graded', '2028-01-17 grade M27-07 at=bench count=1:6,2:11 into=store/r1 by=jo'),
    ('a sale', '2028-01-17 sell C013 at=store/r1 grade=3 count=10 price=312.00NZD to=kowelin by=jo'),
    ('a blade judged', '2028-01-17 10:00 judge C011/01 grade=2 grains=8 mass=1620g by=mk'),
]


def keys_with_completion(client, path, line, entry):
    """What is typed and what is taken, from the left: at each word as few keys as there are."""
    at, keys = 0, 0
    while at < len(entry):
        best = 1, 1
        start = at
        # The word from here on: what is offered may end anywhere in it.
        for typed in range(0, 5):
            client.change(path, {'range': {'start': {'line': line, 'character': 0}, 'end': {'line': line, 'character': 10**6}},
                                 'text': entry[:start + typed]})
            offered = client.at('textDocument/completion', path, line, start + typed)['items']
            if not offered:
                continue
            first = offered[0]['textEdit']
            begin = first['range']['start']['character']
            whole = entry[:begin] + first['newText']
            if begin == start and entry.startswith(whole) and len(whole) - start > typed + 1:
                best = len(whole) - start, typed + 1
                break
        at += best[0]
        keys += best[1]
    return keys + 1


samples = os.path.join(os.path.dirname(__file__), '..', '..', 'samples')
work = tempfile.mkdtemp()
shutil.copytree(os.path.join(samples, 'book'), os.path.join(work, 'book'))
shutil.copy(os.path.join(samples, 'house.yaml'), work)
os.environ['WITHY_TODAY'] = '2028-01-17'
path = os.path.join(work, 'book', '2027b.wy')
client = Client()
client.open(path)
last = open(path, encoding='utf-8').read().count('\n')
plain = taken = 0
print('| entry | typed in full | with completion |\n|---|---:|---:|')
for name, entry in ENTRIES:
    with_completion = keys_with_completion(client, path, last, entry)
    plain += len(entry) + 1
    taken += with_completion
    print(f'| {name} | {len(entry) + 1} | {with_completion} |')
print(f'| all ten | {plain} | {taken} |')
shutil.rmtree(work)
sys.exit(client.end())
