"""serve.py HOUSE BOOK: types into the middle and at the end of a book, and measures each key."""
import os
import sys
import time

sys.path.insert(0, os.path.join(os.path.dirname(__file__), '..', 'serve'))
from client import Client, address  # noqa: E402

house, book = (os.path.abspath(p) for p in sys.argv[1:3])
text = open(book, encoding='utf-8').read()
lines = text.count('\n')
client = Client(pulls=False, options=['-H', house], capabilities={'textDocument': {}})
start = time.monotonic()
client.open(book, text)
client.at('textDocument/hover', book, 0, 0)
print(f'opened {lines} lines in {time.monotonic() - start:.2f} s')
assert client.whole(book) == []


def percentile(times, share):
    return sorted(times)[int(len(times) * share)] * 1000


def type_in(line, words, name):
    keys, lists, column = [], [], 0
    client.replace(book, line, 0, 0, '\n')
    for char in words:
        start = time.monotonic()
        client.replace(book, line, column, column, char)
        column += 1
        # A request behind the change is answered when the change has been judged.
        client.at('textDocument/foldingRange', os.devnull, 0, 0)
        keys.append(time.monotonic() - start)
        start = time.monotonic()
        client.at('textDocument/completion', book, line, column)
        lists.append(time.monotonic() - start)
    print(f'{name:34} change: {percentile(keys, .5):6.2f} ms, 95 %: {percentile(keys, .95):6.2f}, most {max(keys) * 1000:6.2f};'
          f'  completion: {percentile(lists, .5):6.2f} ms, most {max(lists) * 1000:6.2f}')


type_in(lines, '2031-05-06 08:10 seal L061 with=wax by=jo count=', 'a key at the end')
type_in(lines // 2, '2031-05-06 08:10 probe K26-05 mc=a:24. meter=pi', 'a key in the middle')
start = time.monotonic()
found = client.whole(book)
print(f'the whole book checked {time.monotonic() - start:.2f} s after it was asked for; {len(found)} findings')
assert client.end() == 0
