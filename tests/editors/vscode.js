// vscode.js: the extension of editors/vscode. Its grammar in the engine that VS Code uses, over the lines of
// tests/cases/editors/tokens.json and a book of half a year; its client with wy-serve, in an editor that is made up of as
// much as the client asks for. $WORK has bad.wy. Run at the root. With an argument, that is the grammar with the words of
// tests/cases/editors/own.yaml, and it alone is looked at.
const fs = require('fs');
const path = require('path');
const Module = require('module');
const oracles = Module.createRequire(path.resolve('tests/oracles/x.js'));
const { INITIAL, Registry, parseRawGrammar } = oracles('vscode-textmate');
const oniguruma = oracles('vscode-oniguruma');

const own = process.argv[2];
let failures = 0;
function holds(what, got, want) {
	if (JSON.stringify(got) === JSON.stringify(want)) return;
	failures++;
	console.log(`${what}: ${JSON.stringify(got)}, not ${JSON.stringify(want)}`);
}

const classes = {
	date: /^constant\.other\.date/, time: /^constant\.other\.time/, event: /^keyword\.control\.event/, subject: /^entity\.name\.subject/,
	field: /^storage\.type\.field/, label: /^variable\.parameter\.label/, number: /^constant\.numeric/, unit: /^keyword\.other\.unit/,
	day: /^constant\.other\.day/, word: /^source\.withy$/, text: /^string\.quoted/, comment: /^comment/, bad: /^invalid/,
};

async function grammar() {
	const wasm = fs.readFileSync(oracles.resolve('vscode-oniguruma/release/onig.wasm'));
	await oniguruma.loadWASM(wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.byteLength));
	const file = own || 'editors/vscode/syntaxes/withy.tmLanguage.json';
	const registry = new Registry({
		onigLib: Promise.resolve({ createOnigScanner: p => new oniguruma.OnigScanner(p), createOnigString: s => new oniguruma.OnigString(s) }),
		loadGrammar: async () => parseRawGrammar(fs.readFileSync(file, 'utf8'), file),
	});
	return registry.loadGrammar('source.withy');
}

async function tokens() {
	const g = await grammar();
	const rows = ['tokens'].concat(own ? ['own'] : []).flatMap(name => JSON.parse(fs.readFileSync(`tests/cases/editors/${name}.json`)));
	for (const [line, parts] of rows) {
		const found = g.tokenizeLine(line, INITIAL).tokens;
		let at = 0;
		for (const [part, name] of parts) {
			const from = line.indexOf(part, at);
			if (from < 0) throw new Error(`the test has no ${part} in ${line}`);
			at = from + part.length;
			for (const t of found.filter(t => t.startIndex < at && t.endIndex > from))
				if (!classes[name].test(t.scopes[t.scopes.length - 1]) && !t.scopes.some(s => name === 'text' && classes.text.test(s)))
					holds(`${line}: ${part}`, t.scopes, name);
		}
	}
	// The works' own words are not in the plain grammar: clean and chalk.
	for (const line of fs.readFileSync('samples/book/2026a.wy', 'utf8').split('\n'))
		for (const t of g.tokenizeLine(line, INITIAL).tokens)
			if (t.scopes.some(s => /^invalid/.test(s)) && (own || !/chalk=|\bclean\b/.test(line))) holds('shown as wrong', line, line.slice(t.startIndex, t.endIndex));
}

// As much of the editor as the client needs.
function editor(document) {
	const seen = { diagnostics: [], handlers: {} };
	const plain = (...names) => function (...args) { names.forEach((n, i) => { this[n] = args[i]; }); };
	const register = name => (selector, provider) => { seen.handlers[name] = provider; return { dispose() {} }; };
	const event = name => f => { seen.handlers[name] = f; return { dispose() {} }; };
	const languages = { createDiagnosticCollection: () => ({ set: (uri, list) => { seen.diagnostics = list; }, dispose() {} }) };
	for (const name of ['Completion:CompletionItem', 'Hover:Hover', 'Definition:Definition', 'Reference:Reference', 'Rename:Rename', 'CodeActions:CodeActions',
		'DocumentFormatting:DocumentFormattingEdit', 'RangeFormatting:DocumentRangeFormattingEdit', 'InlayHints:InlayHints', 'Folding:FoldingRange',
		'Symbols:DocumentSymbol']) {
		const [short, long] = name.split(':');
		languages[`register${long}Provider`] = register(short);
	}
	function MarkdownString() { this.value = ''; }
	MarkdownString.prototype.appendCodeblock = function (text) { this.value += text; return this; };
	function WorkspaceEdit() { this.changes = []; }
	WorkspaceEdit.prototype.set = function (uri, edits) { this.changes.push([uri.toString(), edits]); };
	const api = {
		languages, MarkdownString, WorkspaceEdit, CodeActionKind: { QuickFix: 'quickfix' },
		Position: plain('line', 'character'), Range: plain('start', 'end'), Location: plain('uri', 'range'), Diagnostic: plain('range', 'message', 'severity'),
		CompletionItem: plain('label', 'kind'), CompletionList: plain('items', 'isIncomplete'), Hover: plain('contents', 'range'), CodeAction: plain('title', 'kind'),
		TextEdit: plain('range', 'newText'), InlayHint: plain('position', 'label'), FoldingRange: plain('start', 'end'),
		DocumentSymbol: plain('name', 'detail', 'kind', 'range', 'selectionRange'),
		Uri: { parse: text => ({ toString: () => text }) },
		window: { showWarningMessage: text => { failures++; console.log(text); } },
		workspace: {
			textDocuments: [document], getConfiguration: () => ({ get: key => (key === 'server' ? 'wy-serve' : []) }),
			createFileSystemWatcher: () => ({ onDidCreate: event('create'), onDidChange: event('disk'), onDidDelete: event('delete'), dispose() {} }),
			onDidOpenTextDocument: event('open'), onDidChangeTextDocument: event('change'), onDidSaveTextDocument: event('save'), onDidCloseTextDocument: event('close'),
		},
	};
	return { api, seen };
}

async function until(what, test) {
	for (let i = 0; i < 400 && !test(); i++) await new Promise(done => setTimeout(done, 50));
	holds(what, test(), true);
}

async function client() {
	const file = path.join(process.env.WORK, 'bad.wy');
	const document = { languageId: 'withy', version: 1, uri: { toString: () => 'file://' + encodeURI(file) }, getText: () => fs.readFileSync(file, 'utf8') };
	const { api, seen } = editor(document);
	const load = Module._load;
	Module._load = (name, ...rest) => (name === 'vscode' ? api : load(name, ...rest));
	const extension = require(path.resolve('editors/vscode/extension.js'));
	const context = { subscriptions: [] };
	await extension.activate(context);
	holds('what it subscribes to', context.subscriptions.length > 15, true);
	await until('three findings', () => seen.diagnostics.length === 3);
	holds('findings', seen.diagnostics.map(d => [d.range.start.line, d.range.start.character, d.severity, d.code]),
		[[0, 11, 0, 'event-unknown'], [2, 21, 0, 'field-unknown'], [3, 38, 0, 'unit-missing']]);
	const at = (line, character) => new api.Position(line, character);
	const h = seen.handlers;
	holds('hover', (await h.Hover.provideHover(document, at(1, 12))).contents.value.split('\n')[0], 'buy: a lot is bought in');
	holds('no hover', await h.Hover.provideHover(document, at(9, 0)), null);
	holds('definition', (await h.Definition.provideDefinition(document, at(2, 17))).range.start.line, 1);
	holds('references', (await h.Reference.provideReferences(document, at(2, 17), { includeDeclaration: true })).length, 4);
	const every = new api.Range(at(0, 0), at(9, 0));
	const actions = await h.CodeActions.provideCodeActions(document, every);
	holds('corrections', actions.map(a => a.title).slice(0, 1), ['write seal']);
	holds('an edit', actions[0].edit.changes[0][1][0].newText, 'seal');
	holds('rename', (await h.Rename.provideRenameEdits(document, at(2, 17), 'L7')).changes[0][1].length, 4);
	await h.Rename.prepareRename(document, at(0, 0)).then(() => holds('renaming a date', true, false), e => holds('why not', /nothing to rename/.test(e.message), true));
	holds('left', (await h.InlayHints.provideInlayHints(document, every)).map(x => x.label), ['18 left at yard/b1']);
	holds('symbols', (await h.Symbols.provideDocumentSymbols(document)).map(s => s.name), ['L061']);
	holds('folding', (await h.Folding.provideFoldingRanges(document)).length, 0);
	holds('formatting', (await h.DocumentFormatting.provideDocumentFormattingEdits(document, {})).length, 1);
	document.version = 2;
	h.change({ document, contentChanges: [{ range: new api.Range(at(0, 11), at(0, 15)), text: 'se' }] });
	const list = await h.Completion.provideCompletionItems(document, at(0, 13));
	holds('completion', list.items.map(i => i.insertText), ['seal ', 'sell ', 'set ']);
	h.change({ document, contentChanges: [{ range: new api.Range(at(0, 11), at(0, 13)), text: 'seal' }] });
	await until('two findings', () => seen.diagnostics.length === 2);
	await extension.deactivate();
}

(async () => {
	await tokens();
	if (!own) await client();
	process.exitCode = failures ? 1 : 0;
})().catch(error => { console.log(error); process.exit(1); });
