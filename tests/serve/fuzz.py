"""fuzz.py SEED MESSAGES: random messages, whole and broken, in random order; the server must answer every request once
and end as the protocol says."""
import json
import os
import random
import sys

from client import Client, address, span

rng = random.Random(int(sys.argv[1]))
path = os.path.abspath('fuzz.wy')
words = ['', 'a', '\x00', '\n', '\r', '"', 'é', '\U0001F332', '2026-03-05', 'seal', 'L061', 'count=SH:18,S6:9', 'mc=a:24.5%', '#', ' ',
         '# withy 2', '2026-06-03 cleave L061 tree=T061 count=SH:18 into=yard/b1\n', '#! incomplete', '\ufeff', '=' * 50, '-1', '9' * 40]
methods = ['textDocument/' + m for m in ('completion', 'hover', 'definition', 'references', 'prepareRename', 'rename', 'formatting',
           'rangeFormatting', 'codeAction', 'inlayHint', 'foldingRange', 'documentSymbol', 'diagnostic')] + ['workspace/symbol', 'nonsense']
notes = ['textDocument/didOpen', 'textDocument/didChange', 'textDocument/didChange', 'textDocument/didChange', 'textDocument/didClose',
         'textDocument/didSave', 'workspace/didChangeWatchedFiles', 'initialized', '$/cancelRequest', '$/other']


def text():
    return ''.join(rng.choice(words) + rng.choice(['', ' ', '\n']) for _ in range(rng.randrange(12)))


def number():
    return rng.choice([0, 0, 1, 2, 3, 7, 60, -1, 10**9, 2**62])


def odd(value):
    """Now and then something else in its place."""
    return rng.choice([None, 5, 'x', [], {}, -1.5, True]) if rng.random() < .03 else value


def params():
    return odd({'textDocument': odd({'uri': odd(rng.choice([address(path)] * 9 + ['untitled:1', 'file:///%zz%00', ''])), 'version': odd(number()),
                                     'text': odd(text())}),
                'position': odd({'line': odd(number()), 'character': odd(number())}), 'range': odd(span(number(), number(), number(), number())),
                'newName': odd(rng.choice(words)), 'query': odd(rng.choice(words)), 'context': odd({'includeDeclaration': odd(False)}),
                'contentChanges': odd([odd(rng.choice([{'text': text()}, {'range': odd(span(number(), number(), number(), number())), 'text': odd(text())}]))
                                       for _ in range(rng.randrange(4))])})


client = Client()
asked = set()
for i in range(int(sys.argv[2])):
    if rng.random() < .02:
        data = bytes(rng.randrange(256) for _ in range(rng.randrange(30)))
        client.raw(b'Content-Length: %d\r\n\r\n' % len(data) + data)
    elif rng.random() < .5:
        asked.add(client.request(rng.choice(methods), params()))
    else:
        client.note(rng.choice(notes), params())
    while len(asked) > 40:
        asked.discard(client.receive().get('id'))
shut = client.request('shutdown', None)
asked.add(shut)
while shut in asked or len(asked) > 1:
    message = client.receive()
    if 'method' not in message:
        asked.discard(message.get('id'))
    if shut not in asked:
        break
client.note('exit', None)
client.process.stdin.close()
rest = client.process.stdout.read()
status, said = client.process.wait(20), client.process.stderr.read().decode(errors='replace')
if status or said:
    print(f'status {status}: {said}')
sys.exit(bool(status or said))
