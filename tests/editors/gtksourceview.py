"""gtksourceview.py [FOLDER]: the lines of tests/cases/editors/tokens.json in GtkSourceView's engine, and a book of half a year.

FOLDER has a withy.lang with the words of tests/cases/editors/own.yaml.
"""
import json
import os
import sys

import gi

gi.require_version('GtkSource', '4')
from gi.repository import GtkSource  # noqa: E402

CLASSES = ['date', 'time', 'event', 'subject', 'field', 'label', 'number', 'unit', 'day', 'text', 'comment', 'bad']
own = sys.argv[1:]
manager = GtkSource.LanguageManager()
manager.set_search_path([os.path.abspath(own[0] if own else 'editors/gtksourceview')] + manager.get_search_path())
language = manager.get_language('withy')
assert language and manager.guess_language('a.wy', None) == language
failures = 0


def classes(text):
    """What every character of the text is."""
    buffer = GtkSource.Buffer.new_with_language(language)
    buffer.set_text(text)
    start, end = buffer.get_bounds()
    buffer.ensure_highlight(start, end)
    found = []
    while not start.is_end():
        found.append([c for c in buffer.get_context_classes_at_iter(start) if c in CLASSES])
        start.forward_char()
    return found


rows = [row for name in ['tokens'] + ['own'] * len(own) for row in json.load(open(f'tests/cases/editors/{name}.json', encoding='utf-8'))]
for line, parts in rows:
    found, at = classes(line + '\n'), 0
    for part, want in parts:
        start = line.index(part, at)
        at = start + len(part)
        got = sorted({c for one in found[start:at] for c in (one or ['word'])})
        if got != [want]:
            failures += 1
            print(f'{line}: {part}: {got}, not {want}')

with open('samples/book/2026a.wy', encoding='utf-8') as file:
    book = file.read()
at = 0
bad = classes(book)
for line in book.splitlines(keepends=True):
    # The works' own words are not in the plain file: clean and chalk.
    if any('bad' in one for one in bad[at:at + len(line)]) and (own or ('chalk=' not in line and ' clean ' not in line)):
        failures += 1
        print('shown as wrong: ' + line)
    at += len(line)
sys.exit(bool(failures))
