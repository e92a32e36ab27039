// The client of wy-serve, without any package: messages over the server's standard input and output.
'use strict';
const { spawn } = require('child_process');
const { Connection } = require('./connection');

let vscode, connection, diagnostics;

const place = p => new vscode.Position(p.line, p.character);
const range = r => new vscode.Range(place(r.start), place(r.end));
const location = l => new vscode.Location(vscode.Uri.parse(l.uri), range(l.range));
const at = p => ({ line: p.line, character: p.character });
const over = r => ({ start: at(r.start), end: at(r.end) });
const about = (document, more) => Object.assign({ textDocument: { uri: document.uri.toString() } }, more);
const edit = e => new vscode.TextEdit(range(e.range), e.newText);

function diagnostic(d) {
	const one = new vscode.Diagnostic(range(d.range), d.message, d.severity - 1);
	one.code = d.code;
	one.source = d.source;
	return one;
}

function workspaceEdit(changes) {
	const whole = new vscode.WorkspaceEdit();
	for (const [uri, edits] of Object.entries(changes)) whole.set(vscode.Uri.parse(uri), edits.map(edit));
	return whole;
}

function completion(i) {
	const one = new vscode.CompletionItem(i.label, i.kind - 1);
	Object.assign(one, { detail: i.detail, sortText: i.sortText, filterText: i.filterText, insertText: i.textEdit.newText, range: range(i.textEdit.range) });
	return one;
}

function action(a) {
	const one = new vscode.CodeAction(a.title, vscode.CodeActionKind.QuickFix);
	Object.assign(one, { diagnostics: a.diagnostics.map(diagnostic), edit: workspaceEdit(a.edit.changes), isPreferred: a.isPreferred });
	return one;
}

function symbol(s) {
	return new vscode.DocumentSymbol(s.name, s.detail, s.kind - 1, range(s.range), range(s.selectionRange));
}

// What each provider of the editor asks the server, and what it makes of the answer.
function providers() {
	const ask = (method, params) => connection.ask('textDocument/' + method, params);
	const l = vscode.languages;
	const book = { language: 'withy' };
	return [
		l.registerCompletionItemProvider(book, { provideCompletionItems: async (d, p) => {
			const found = await ask('completion', about(d, { position: at(p) }));
			return new vscode.CompletionList(found.items.map(completion), found.isIncomplete);
		} }, ' ', '=', ',', ':', '/'),
		l.registerHoverProvider(book, { provideHover: async (d, p) => {
			const h = await ask('hover', about(d, { position: at(p) }));
			return h && new vscode.Hover(new vscode.MarkdownString().appendCodeblock(h.contents.value, 'text'), range(h.range));
		} }),
		l.registerDefinitionProvider(book, { provideDefinition: async (d, p) => {
			const found = await ask('definition', about(d, { position: at(p) }));
			return found && location(found);
		} }),
		l.registerReferenceProvider(book, { provideReferences: async (d, p, context) =>
			(await ask('references', about(d, { position: at(p), context }))).map(location) }),
		l.registerRenameProvider(book, {
			prepareRename: async (d, p) => range(await ask('prepareRename', about(d, { position: at(p) }))),
			provideRenameEdits: async (d, p, newName) => workspaceEdit((await ask('rename', about(d, { position: at(p), newName }))).changes),
		}),
		l.registerDocumentFormattingEditProvider(book, { provideDocumentFormattingEdits: async (d, options) =>
			(await ask('formatting', about(d, { options }))).map(edit) }),
		l.registerDocumentRangeFormattingEditProvider(book, { provideDocumentRangeFormattingEdits: async (d, r, options) =>
			(await ask('rangeFormatting', about(d, { range: over(r), options }))).map(edit) }),
		l.registerCodeActionsProvider(book, { provideCodeActions: async (d, r) =>
			(await ask('codeAction', about(d, { range: over(r), context: { diagnostics: [] } }))).map(action) }),
		l.registerInlayHintsProvider(book, { provideInlayHints: async (d, r) =>
			(await ask('inlayHint', about(d, { range: over(r) }))).map(h => Object.assign(new vscode.InlayHint(place(h.position), h.label), { paddingLeft: true })) }),
		l.registerFoldingRangeProvider(book, { provideFoldingRanges: async d =>
			(await ask('foldingRange', about(d))).map(f => new vscode.FoldingRange(f.startLine, f.endLine)) }),
		l.registerDocumentSymbolProvider(book, { provideDocumentSymbols: async d => (await ask('documentSymbol', about(d))).map(symbol) }),
	];
}

function follow(document) {
	if (document.languageId === 'withy')
		connection.note('textDocument/didOpen', { textDocument: { uri: document.uri.toString(), languageId: 'withy', version: document.version, text: document.getText() } });
}

function watches() {
	const files = vscode.workspace.createFileSystemWatcher('**/{*.wy,house.yaml}');
	const seen = type => uri => connection.note('workspace/didChangeWatchedFiles', { changes: [{ uri: uri.toString(), type }] });
	return [
		files, files.onDidCreate(seen(1)), files.onDidChange(seen(2)), files.onDidDelete(seen(3)),
		vscode.workspace.onDidOpenTextDocument(follow),
		vscode.workspace.onDidChangeTextDocument(e => e.document.languageId === 'withy' && e.contentChanges.length && connection.note('textDocument/didChange', {
			textDocument: { uri: e.document.uri.toString(), version: e.document.version },
			contentChanges: e.contentChanges.map(c => ({ range: over(c.range), text: c.text })),
		})),
		vscode.workspace.onDidSaveTextDocument(d => d.languageId === 'withy' && connection.note('textDocument/didSave', about(d))),
		vscode.workspace.onDidCloseTextDocument(d => d.languageId === 'withy' && connection.note('textDocument/didClose', about(d))),
	];
}

async function activate(context) {
	vscode = require('vscode');
	const settings = vscode.workspace.getConfiguration('withy');
	const command = settings.get('server');
	if (!command) return;
	const child = spawn(command, settings.get('serverArguments'), { stdio: ['pipe', 'pipe', 'inherit'] });
	child.on('error', () => vscode.window.showWarningMessage(`Withy: ${command} cannot be started; install Withy, or set withy.server to its path`));
	child.stdin.on('error', () => {});
	diagnostics = vscode.languages.createDiagnosticCollection('withy');
	connection = new Connection(child.stdout, child.stdin, {
		'textDocument/publishDiagnostics': p => diagnostics.set(vscode.Uri.parse(p.uri), p.diagnostics.map(diagnostic)),
	});
	await connection.ask('initialize', { processId: process.pid, rootUri: null, capabilities: {
		textDocument: { codeAction: { codeActionLiteralSupport: { codeActionKind: { valueSet: ['quickfix'] } } }, rename: { prepareSupport: true } } } });
	connection.note('initialized', {});
	vscode.workspace.textDocuments.forEach(follow);
	context.subscriptions.push(diagnostics, ...providers(), ...watches());
}

async function deactivate() {
	if (!connection) return;
	await connection.ask('shutdown', null);
	connection.note('exit', null);
}

module.exports = { activate, deactivate };
