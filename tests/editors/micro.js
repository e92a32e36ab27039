// micro.js --book | --scheme | SCREEN: the lines of tests/cases/editors/tokens.json (or $CORPUS.json), a colour scheme in which every group
// has a colour of its own, and whether micro's screen (as `tmux capture-pane -e -p` gives it) has each part in its colour.
const fs = require('fs');
const groups = ['default', 'comment', 'constant', 'statement', 'identifier', 'type', 'symbol', 'constant.number', 'constant.string', 'error'];
const classes = { date: 'constant', time: 'constant', day: 'constant', event: 'statement', subject: 'identifier', field: 'type', label: 'symbol',
	number: 'constant.number', unit: 'constant.number', word: 'default', text: 'constant.string', comment: 'comment', bad: 'error' };
const rows = JSON.parse(fs.readFileSync(`tests/cases/editors/${process.env.CORPUS || 'tokens'}.json`));

if (process.argv[2] === '--book') {
	process.stdout.write(rows.map(([line]) => line + '\n').join(''));
} else if (process.argv[2] === '--scheme') {
	process.stdout.write(groups.map((g, i) => `color-link ${g} "${101 + i}"\n`).join(''));
} else {
	let failures = 0;
	let colour = -1;
	const lines = fs.readFileSync(process.argv[2], 'utf8').split('\n').map(line => {
		const cells = [];
		for (const [, codes, char] of line.matchAll(/\x1b\[([0-9;]*)m|([^\x1b])/gu)) {
			const found = /38;5;(\d+)/.exec(codes || '');
			if (found) colour = found[1] - 101;
			else if (codes !== undefined && /^0?$|^39$/.test(codes)) colour = -1;
			if (char !== undefined) cells.push([char, groups[colour] || '']);
		}
		return cells;
	});
	for (const [line, parts] of rows) {
		const cells = lines.find(cells => cells.map(c => c[0]).join('').trimEnd() === line);
		let at = 0;
		if (!cells) {
			console.log('not on the screen: ' + line);
			failures++;
			continue;
		}
		for (const [part, name] of parts) {
			const from = line.indexOf(part, at);
			at = from + part.length;
			const found = [...new Set(cells.slice(from, at).filter(c => c[0] !== ' ').map(c => c[1]))];
			if (from >= 0 && found.length === 1 && found[0] === classes[name]) continue;
			failures++;
			console.log(`${line}: ${part}: ${found}, not ${classes[name]}`);
		}
	}
	process.exit(failures ? 1 : 0);
}
