"""A client of wy-serve for the tests: sends messages, gathers what comes back."""
import json
import os
import subprocess
import urllib.parse


def units(text):
    """How many UTF-16 units a text has, counted by Python's own encoder."""
    return len(text.encode('utf-16-le', 'surrogatepass')) // 2


def address(path):
    return 'file://' + urllib.parse.quote(os.path.abspath(path))


class Client:
    def __init__(self, pulls=True, options=(), start=True, cwd=None, capabilities=None):
        env = dict(os.environ, WITHY_TODAY=os.environ.get('WITHY_TODAY', '2027-12-31'))
        self.process = subprocess.Popen(['wy-serve', *options], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                        stderr=subprocess.PIPE, env=env, cwd=cwd)
        self.number = 0
        self.notes = []
        self.versions = {}
        if start:
            text = {'codeAction': {'codeActionLiteralSupport': {}}, 'rename': {'prepareSupport': True}}
            if pulls:
                text['diagnostic'] = {}
            self.start = self.ask('initialize', {'processId': None, 'rootUri': None,
                                                 'capabilities': capabilities or {'textDocument': text}})
            self.note('initialized', {})

    def raw(self, data):
        self.process.stdin.write(data)
        self.process.stdin.flush()

    def send(self, message):
        data = json.dumps(message).encode()
        self.raw(b'Content-Length: %d\r\n\r\n' % len(data) + data)

    def note(self, method, params):
        self.send({'jsonrpc': '2.0', 'method': method, 'params': params})

    def receive(self):
        header = b''
        while not header.endswith(b'\r\n\r\n'):
            byte = self.process.stdout.read(1)
            if not byte:
                raise EOFError(self.process.stderr.read().decode(errors='replace'))
            header += byte
        length = int(header.split(b':')[1].split(b'\r')[0])
        return json.loads(self.process.stdout.read(length))

    def wait(self, number):
        """The response to a request; what comes before goes to self.notes."""
        while True:
            message = self.receive()
            if 'method' not in message and message.get('id') == number:
                return message
            self.notes.append(message)

    def request(self, method, params):
        self.number += 1
        self.send({'jsonrpc': '2.0', 'id': self.number, 'method': method, 'params': params})
        return self.number

    def ask(self, method, params):
        response = self.wait(self.request(method, params))
        if 'error' in response:
            return response['error']
        return response['result']

    def open(self, path, text=None):
        if text is None:
            with open(path, encoding='utf-8', newline='') as file:
                text = file.read()
        self.versions[path] = 1
        self.note('textDocument/didOpen', {'textDocument': {
            'uri': address(path), 'languageId': 'withy', 'version': 1, 'text': text}})

    def change(self, path, *changes):
        self.versions[path] += 1
        self.note('textDocument/didChange', {
            'textDocument': {'uri': address(path), 'version': self.versions[path]}, 'contentChanges': list(changes)})

    def replace(self, path, line, start, end, text, end_line=None):
        self.change(path, {'range': span(line, start, line if end_line is None else end_line, end), 'text': text})

    def at(self, method, path, line, character, **more):
        return self.ask(method, {'textDocument': {'uri': address(path)},
                                 'position': {'line': line, 'character': character}, **more})

    def over(self, method, path, start, end, **more):
        return self.ask(method, {'textDocument': {'uri': address(path)}, 'range': span(start, 0, end, 0), **more})

    def whole(self, path):
        """The findings once the whole book is checked."""
        return self.ask('textDocument/diagnostic', {'textDocument': {'uri': address(path)}})['items']

    def pushed(self, path):
        """The next findings that are pushed for a file."""
        while True:
            for i, message in enumerate(self.notes):
                if message.get('method') == 'textDocument/publishDiagnostics' and message['params']['uri'] == address(path):
                    del self.notes[i]
                    return message['params']['diagnostics']
            self.notes.append(self.receive())

    def end(self):
        self.ask('shutdown', None)
        self.note('exit', None)
        self.process.stdin.close()
        return self.process.wait(10)


def span(line, start, end_line, end):
    return {'start': {'line': line, 'character': start}, 'end': {'line': end_line, 'character': end}}


def apply_edits(text, edits):
    """What the edits make of a text. Positions are UTF-16; lines end with LF, CR LF or CR."""
    lines = split(text)
    starts = [0]
    for line in lines:
        starts.append(starts[-1] + len(line))

    def offset(spot):
        line = lines[spot['line']] if spot['line'] < len(lines) else ''
        left, n = spot['character'], 0
        for char in line.rstrip('\r\n'):
            if left <= 0:
                break
            left -= units(char)
            n += 1
        return starts[min(spot['line'], len(lines))] + n

    for edit in sorted(edits, key=lambda e: (e['range']['start']['line'], e['range']['start']['character']), reverse=True):
        text = text[:offset(edit['range']['start'])] + edit['newText'] + text[offset(edit['range']['end']):]
    return text


def split(text):
    """The lines of a text with their ends, as the protocol cuts them: always one more than there are ends."""
    lines, line = [], ''
    for i, char in enumerate(text):
        line += char
        if char == '\n' or (char == '\r' and text[i + 1:i + 2] != '\n'):
            lines.append(line)
            line = ''
    return lines + [line]
