// kate.js FOLDER: the lines of tests/cases/editors/tokens.json in the engine that Kate uses, shown with a theme in which
// every style has a colour of its own; and a book of half a year, in which nothing may be shown as wrong. FOLDER is scratch.
// With a second argument, that is the file for Kate, with the words of tests/cases/editors/own.yaml.
const { execFileSync } = require('child_process');
const fs = require('fs');
const path = require('path');

const folder = path.resolve(process.argv[2]);
const data = path.join(folder, 'org.kde.syntax-highlighting');
const styles = ['Normal', 'Keyword', 'Function', 'Variable', 'ControlFlow', 'Operator', 'BuiltIn', 'Extension', 'Preprocessor', 'Attribute', 'Char',
	'SpecialChar', 'String', 'VerbatimString', 'SpecialString', 'Import', 'DataType', 'DecVal', 'BaseN', 'Float', 'Constant', 'Comment', 'Documentation',
	'Annotation', 'CommentVar', 'RegionMarker', 'Information', 'Warning', 'Alert', 'Error', 'Others'];
const classes = { date: 'Constant', time: 'Constant', day: 'Constant', event: 'Keyword', subject: 'Function', field: 'DataType', label: 'Variable',
	number: 'DecVal', unit: 'BuiltIn', word: 'Normal', text: 'String', comment: 'Comment', bad: 'Error' };
const colour = i => '#0000' + (i + 16).toString(16);
fs.mkdirSync(path.join(data, 'syntax'), { recursive: true });
fs.mkdirSync(path.join(data, 'themes'), { recursive: true });
const own = process.argv[3];
fs.copyFileSync(own || 'editors/kate/withy.xml', path.join(data, 'syntax', 'withy.xml'));
fs.writeFileSync(path.join(data, 'themes', 'tests.theme'), JSON.stringify({ metadata: { name: 'Tests', revision: 1 },
	'text-styles': Object.fromEntries(styles.map((s, i) => [s, { 'text-color': colour(i), 'selected-text-color': colour(i) }])), 'editor-colors': {} }));

// Every line of a file as [character, style] pairs.
function shown(file) {
	const out = execFileSync('kate-syntax-highlighter', ['-t', 'Tests', '-f', 'ansi', file],
		{ env: Object.assign({}, process.env, { XDG_DATA_HOME: folder, QT_QPA_PLATFORM: 'offscreen' }), encoding: 'utf8', maxBuffer: 1 << 28 });
	let style = 'Normal';
	return out.split('\n').map(line => {
		const cells = [];
		for (const [, codes, char] of line.matchAll(/\x1b\[([0-9;]*)[mK]|([^\x1b])/gu)) {
			const found = /38;2;0;0;(\d+)/.exec(codes || '');
			if (found) style = styles[found[1] - 16];
			if (char !== undefined) cells.push([char, style]);
		}
		return cells;
	});
}

let failures = 0;
const rows = ['tokens'].concat(own ? ['own'] : []).flatMap(name => JSON.parse(fs.readFileSync(`tests/cases/editors/${name}.json`)));
const file = path.join(folder, 'tokens.wy');
fs.writeFileSync(file, rows.map(([line]) => line + '\n').join(''));
const lines = shown(file);
rows.forEach(([line, parts], i) => {
	let at = 0;
	for (const [part, name] of parts) {
		const from = line.indexOf(part, at);
		at = from + part.length;
		const found = [...new Set(lines[i].slice(from, at).filter(c => c[0] !== ' ').map(c => c[1]))];
		if (from >= 0 && found.length === 1 && found[0] === classes[name]) continue;
		failures++;
		console.log(`${line}: ${part}: ${found}, not ${classes[name]}`);
	}
});
for (const cells of shown('samples/book/2026a.wy')) {
	const line = cells.map(c => c[0]).join('');
	// The works' own words are not in the plain file: clean and chalk.
	if (!cells.some(c => c[1] === 'Error') || (!own && / clean |chalk=/.test(line))) continue;
	failures++;
	console.log('shown as wrong: ' + line);
}
process.exit(failures ? 1 : 0);
