"""rude.py: what an editor must not send, and what the server says to it: error codes and exit statuses of JSON-RPC 2.0
and of the Language Server Protocol 3.17."""
import json
import os
import sys
import tempfile

from client import Client, address

failures = []


def holds(what, got, want):
    if got != want:
        failures.append(f'{what}: {got!r}, not {want!r}')


def code(message):
    return message.get('error', {}).get('code')


def frame(data):
    return b'Content-Length: %d\r\n\r\n' % len(data) + data


# Before initialize, and twice.
c = Client(start=False)
c.note('textDocument/didOpen', {})
holds('a request before initialize', c.ask('textDocument/hover', {})['code'], -32002)
holds('initialize', 'capabilities' in c.ask('initialize', {'capabilities': {}}), True)
holds('initialize again', c.ask('initialize', {'capabilities': {}})['code'], -32600)
holds('an unknown method', c.ask('textDocument/brew', {})['code'], -32601)
c.note('$/brew', {})
c.note('textDocument/brew', None)

# What is not a message.
for data, want in ((b'{', -32700), (b'', -32700), (b'{"jsonrpc":"2.0","id":1,"method":"a\xff"}', -32700), (b'[' * 100000, -32700),
                   (b'[]', -32600), (b'1', -32600), (b'"a"', -32600), (b'null', -32600), (b'{}', -32600),
                   (b'[{"jsonrpc":"2.0","id":1,"method":"shutdown"}]', -32600), (b'{"id":7}', -32600), (b'{"id":7,"method":5}', -32600),
                   (b'{"id":{},"method":"shutdown"}', -32600), (b'{"id":[1],"method":"shutdown"}', -32600)):
    c.raw(frame(data))
    holds(repr(data[:40]), code(c.receive()), want)
c.raw(frame(b'{"id":7,"result":null}'))
c.raw(b'Content-Type: x\r\n\r\n')
holds('a header without a length', code(c.receive()), -32700)
c.raw(b'Content-Length: many\r\n\r\n')
holds('a length that is not a number', code(c.receive()), -32700)
c.raw(b'Content-Length: -5\r\n\r\n')
holds('a negative length', code(c.receive()), -32700)
c.raw(b'x' * 5000)
holds('a header without an end', code(c.receive()), -32700)
c.raw(b'content-length:2\n\n{}')
holds('a header in small letters, with LF', code(c.receive()), -32600)
c.raw(b'Content-Length: 99999999999999999999999\r\n\r\n')
holds('a huge length', code(c.receive()), -32600)
c.raw(b'{"never":"ends"}' * 1000)
c.process.stdin.close()
holds('an editor that goes away', c.process.wait(10), 1)

# Requests about what is not there, and of the wrong shape.
c = Client()
folder = tempfile.mkdtemp()
path = os.path.join(folder, 'a %é.wy')
for params in (None, [], 5, {}, {'textDocument': 5}, {'textDocument': {'uri': 'file:///nowhere.wy'}}):
    holds(f'hover with {params}', c.ask('textDocument/hover', params)['code'], -32602)
    c.note('textDocument/didChange', params)
    c.note('textDocument/didClose', params)
    c.note('textDocument/didOpen', params)
c.open(path, '2026-03-05 seal L061 with=wax\n')
for place in ((-5, -5), (0, 10**15), (10**15, 0), (2**63 - 1, 2**63 - 1)):
    holds(f'hover at {place}', isinstance(c.at('textDocument/hover', path, *place), (dict, type(None))), True)
for change in ({}, {'range': 5, 'text': 'x\n'}, {'range': {}, 'text': ''}, {'text': 5}, None, {'range': {'start': {'line': 9}, 'end': {'line': 3}}, 'text': '\n'}):
    c.change(path, change)
c.change(path, {'text': '2026-03-05 seel L061 with=wax\n'})
holds('the text after all that', [f['code'] for f in c.whole(path)], ['event-unknown'])
c.note('textDocument/didClose', {'textDocument': {'uri': address(path)}})
holds('hover in a closed file', c.at('textDocument/hover', path, 0, 0)['code'], -32602)

# Cancelled: in one write with its request, and while the book is checked.
c.open(path, '2026-03-05 seal L061 with=wax\n')
one = json.dumps({'jsonrpc': '2.0', 'id': 'x', 'method': 'textDocument/foldingRange', 'params': {'textDocument': {'uri': address(path)}}})
two = json.dumps({'jsonrpc': '2.0', 'method': '$/cancelRequest', 'params': {'id': 'x'}})
c.raw(frame(one.encode()) + frame(two.encode()))
holds('a request that is cancelled at once', code(c.wait('x')), -32800)
number = c.request('textDocument/diagnostic', {'textDocument': {'uri': address(path)}})
c.note('$/cancelRequest', {'id': number})
holds('a request that is cancelled while it waits', code(c.wait(number)), -32800)
c.note('$/cancelRequest', {'id': 12345})
number = c.request('textDocument/diagnostic', {'textDocument': {'uri': address(path)}})
c.note('textDocument/didClose', {'textDocument': {'uri': address(path)}})
holds('a request whose file is closed', code(c.wait(number)), -32800)

# The end.
holds('shutdown', c.ask('shutdown', None), None)
holds('a request after shutdown', c.ask('textDocument/hover', {})['code'], -32600)
c.note('exit', None)
holds('exit after shutdown', c.process.wait(10), 0)
c = Client()
c.note('exit', None)
holds('exit without shutdown', c.process.wait(10), 1)
c = Client()
c.process.stdout.close()
try:
    for _ in range(100):
        c.request('textDocument/brew', {})
except BrokenPipeError:
    pass
holds('nobody reads', c.process.wait(10), 1)
c.process.stdin = None
print('\n'.join(failures))
sys.exit(bool(failures))
