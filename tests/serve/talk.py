"""talk.py FOLDER: a conversation about the book in FOLDER; prints what was asked and what came back, in short."""
import json
import os
import sys

from client import Client, address, apply_edits

folder = sys.argv[1]
os.environ['WITHY_TODAY'] = '2026-07-03'
book, later = os.path.join(folder, 'book.wy'), os.path.join(folder, 'later.wy')
lines = {path: open(path, encoding='utf-8').read().split('\n') for path in (book, later)}


def short(value):
    """Places as LINE:CHARACTER, ranges as FROM-TO, addresses as file names."""
    if isinstance(value, dict) and set(value) == {'line', 'character'}:
        return f"{value['line']}:{value['character']}"
    if isinstance(value, dict) and set(value) == {'start', 'end'}:
        return f"{short(value['start'])}-{short(value['end'])}"
    if isinstance(value, dict):
        return {os.path.basename(k) if k.startswith('file:') else k: short(v) for k, v in value.items()}
    if isinstance(value, list):
        return [short(v) for v in value]
    if isinstance(value, str) and value.startswith('file:'):
        return os.path.basename(value)
    return value


def show(name, value):
    print(f'== {name}')
    for one in value if isinstance(value, list) else [value]:
        print(json.dumps(short(one), ensure_ascii=False) if not isinstance(one, str) else one)


def unit(path, line, part, into=0):
    """The UTF-16 unit of a part of a line."""
    text = lines[path][line]
    return len(text[:text.index(part) + into].encode('utf-16-le')) // 2


def at(method, path, line, part, into=0, **more):
    return client.at('textDocument/' + method, path, line, unit(path, line, part, into), **more)


client = Client()
show('capabilities', sorted(client.start['capabilities']))
for path in (book, later):
    client.open(path)
for path in (book, later):
    show('findings of ' + os.path.basename(path), [
        [f['range'], f['severity'], f['code'], f['message']] for f in client.whole(path)])

for part in ('2026', 'unload', 'K26', 'count', '17', 'split', 'bench'):
    answer = at('hover', later, 1, part, 1)
    print(f'== hover {part} {short(answer["range"])}')
    print(answer['contents']['value'])
for line, part in ((4, '1.3'), (5, 'ü'), (5, ' seen')):
    answer = at('hover', later, line, part, 1)
    print(f'== hover {part}: {answer["contents"]["value"] if answer else None}')
print('== hover in a comment:', at('hover', book, 2, 'gut', 1))

show('definition of L061', at('definition', later, 3, 'L061', 2))
show('definition of K26-05', at('definition', later, 0, 'K26'))
show('definition of a place', at('definition', later, 3, 'store'))
show('references of L061', at('references', book, 2, 'L061', context={'includeDeclaration': True}))
show('references of T061, but where it began', at('references', book, 2, 'T061', context={'includeDeclaration': False}))

show('may rename', at('prepareRename', later, 2, 'L061'))
show('may not rename a place', at('prepareRename', later, 3, 'store'))
for name in ('L9', 'M062', 'north', 'K26-05', 'L 1', '', 'L061'):
    show(f'rename L061 to {name!r}', at('rename', later, 2, 'L061', newName=name))

show('fixes', [[a['title'], a['isPreferred'], list(a['edit']['changes'].values())[0][0]]
               for a in client.over('textDocument/codeAction', later, 0, 20, context={'diagnostics': []})])
show('left in book.wy', [[h['position'], h['label']] for h in client.over('textDocument/inlayHint', book, 0, 20)])
show('left in later.wy', [[h['position'], h['label']] for h in client.over('textDocument/inlayHint', later, 0, 20)])
show('folding', client.ask('textDocument/foldingRange', {'textDocument': {'uri': address(later)}}))
show('symbols', client.ask('textDocument/documentSymbol', {'textDocument': {'uri': address(book)}}))
show('symbols with 061', client.ask('workspace/symbol', {'query': '061'}))
edits = client.ask('textDocument/formatting', {'textDocument': {'uri': address(later)}, 'options': {}})
show('formatted', apply_edits('\n'.join(lines[later]), edits).split('\n'))
show('formatting of lines', client.over('textDocument/rangeFormatting', later, 3, 4, options={}))
show('formatting of what is tidy', client.over('textDocument/rangeFormatting', later, 0, 1, options={}))

end = len(lines[later]) - 1
typed = ''
for what in ('', '20', '2026-07-03 ', '2026-07-03 se', '2026-07-03 10:00 un', '2026-07-03 seal ', '2026-07-03 load ', '2026-07-03 set ',
             '2026-07-03 seal L061 ', '2026-07-03 move L061 at=', '2026-07-03 move L061 at=st', '2026-07-03 scrap L061 cull=',
             '2026-07-03 scrap L061 cull=knot:1,', '2026-07-03 scrap L061 at=', '2026-07-03 judge L061/02 grade=',
             '2026-07-03 judge L061/02 mass=1300', '2026-07-03 probe K26-05 meter=', '2026-07-03 sell L061 to=k',
             '2026-07-03 seal L061 with=', '2026-07-03 cleave L062 tree=', '2026-07-03 order O-1 due=', '2026-07-03 seal L061 # wi',
             '2026-07-03 note L061 text="no', '2026-07-03 probe K26-05 mc=', '2026-07-03 nonsense L061 '):
    client.replace(later, end, 0, len(typed), what)
    typed = what
    answer = client.at('textDocument/completion', later, end, len(what))
    print(f'== completion {what!r}, incomplete {answer["isIncomplete"]}')
    print(' '.join(f'{i["textEdit"]["newText"]!r}' for i in answer['items']))
    for item in answer['items']:
        assert item['textEdit']['range']['end'] == {'line': end, 'character': len(what)}, item
client.replace(later, end, 0, len(typed), '')

print('== a change outside: the file that is not open is read again')
client.note('textDocument/didClose', {'textDocument': {'uri': address(book)}})
with open(book, 'a', encoding='utf-8') as file:
    file.write('2026-06-30 buy L070 form=cleft count=SH:5 into=yard/b1\n')
client.note('workspace/didChangeWatchedFiles', {'changes': [{'uri': address(book), 'type': 2}]})
client.replace(later, end, 0, 0, '2026-07-03 scrap L070 cull=knot:6')
show('findings of the last line', [[f['range'], f['code'], f['message']] for f in client.whole(later) if f['range']['start']['line'] >= end])

print('== a file of the book that is not there is reported in the house file')
house = os.path.join(folder, 'house.yaml')
os.rename(book, book + '.away')
client.notes.clear()
client.note('workspace/didChangeWatchedFiles', {'changes': []})
client.whole(later)
show('findings of the house file', [[f['range'], f['code'], f['message']] for f in client.pushed(house)])
os.rename(book + '.away', book)
client.note('workspace/didChangeWatchedFiles', {'changes': []})
client.whole(later)
show('and when it is back', client.pushed(house))
with open(house, 'a', encoding='utf-8') as file:
    file.write('nonsense: 5\n')
client.note('workspace/didChangeWatchedFiles', {'changes': []})
client.whole(later)
show('a wrong key of the house file', [[f['range'], f['severity'], f['code']] for f in client.pushed(house)])
sys.exit(client.end())
