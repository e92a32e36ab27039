// nano.js SCREEN: what nano's screen (as `tmux capture-pane -e -p` gives it) colours how. The rows
// are lines of a book (printed by --book) and, in their order, parts of each with the colour that every
// character of it has. With OWN=1 they are those with the words of tests/cases/editors/own.yaml.
const fs = require('fs');

const own = [
	['2026-03-05 clean south text=filters', [['2026-03-05', 'blue'], ['clean', 'bold green'], ['south', 'bold cyan'], ['text', 'yellow']]],
	['2026-03-05 10:20 soak L061 swell=3mm by=mk', [['soak', 'bold green'], ['L061', 'bold cyan'], ['swell', 'yellow'], ['3mm', 'bold blue'], ['by', 'yellow']]],
	['2026-03-05 soak L061 swell=4 by=mk', [['soak', 'bold green'], ['swell', 'yellow'], ['4', 'bold red'], ['by', 'yellow']]],
	['2026-03-03 cleave L061 tree=T061 chalk=red by=mk', [['cleave', 'bold green'], ['chalk', 'yellow'], ['red', ''], ['by', 'yellow']]],
];
const rows = process.env.OWN ? own : [
	['# withy 1', [['# withy 1', 'cyan']]],
	['2026-03-03 10:20 cleave  L061   tree=T061 rolls=2 count=SH:18,S6:9 into=yard/b1 # all "well"', [
		['2026-03-03', 'blue'], ['10:20', 'blue'], ['cleave', 'bold green'], ['L061', 'bold cyan'], ['tree', 'yellow'],
		['=', ''], ['T061', ''], ['rolls', 'yellow'], ['2', 'bold blue'], ['SH', 'magenta'], [':', ''], ['18', 'bold blue'],
		[',', ''], ['S6', 'magenta'], ['9', 'bold blue'], ['into', 'yellow'], ['yard/b1', ''], ['# all "well"', 'cyan']]],
	['2026-06-18 07:50 probe K26-05 mc=a:16.4%,b:30%+,c:-,d:6%- wood=-2.5C meter=pin2/cane', [
		['a', 'magenta'], ['16.4%', 'bold blue'], ['30%', 'bold blue'], ['+', 'red'], ['-', 'red'], ['6%', 'bold blue'],
		['-', 'red'], ['-2.5C', 'bold blue'], ['pin2/cane', '']]],
	['2026-06-18 probe C014 mc=23.5%,26%,-,-,22.8% at=- doc=26-05A/3', [
		['23.5%', 'bold blue'], [',', ''], ['26%', 'bold blue'], ['-', 'red'], ['-', 'red'], ['22.8%', 'bold blue'], ['-', 'red'],
		['26-05A/3', '']]],
	['2026-06-09 order O-311 mass=2lb8oz..2lb10.5oz due=2026-10-15 over=2026-10-01..2026-10-31 price=284.20NZD', [
		['O-311', 'bold cyan'], ['2lb8oz', 'bold blue'], ['2lb10.5oz', 'bold blue'], ['2026-10-15', 'bold blue'],
		['2026-10-01', 'bold blue'], ['2026-10-31', 'bold blue'], ['284.20NZD', 'bold blue']]],
	['2028-02-29 note store/r1 text="re-lined, # \\"north\\" a=b" by=jo', [
		['text', 'yellow'], ['"re-lined, # \\"north\\" a=b"', 'green'], ['by', 'yellow']]],
	['2026-03-05 seel L061 wth=wax', [['2026-03-05', 'blue'], ['seel L061 wth', '']]],
	['2026-07-07 probe K26-05 mc=a:24.5,b:24.5%,c:241% wood=16 count=7', [
		['mc', 'yellow'], ['a', 'magenta'], ['24.5', 'bold red'], ['b', 'magenta'], ['24.5%', 'bold blue'], ['241%', 'bold red'], ['wood', 'yellow'],
		['16', 'bold red'], ['7', 'bold blue']]],
	['2026-13-05 seal L061', [['2026-13-05 seal L061', '']]],
	['2026-03-05 seal L061 # intended stock-short: two coats', [['# intended stock-short:', 'bold magenta'], ['two coats', 'cyan']]],
	['2026-03-05 seal L061 # intended line-twice, stock-short: two coats', [['# intended line-twice, stock-short:', 'bold magenta'], ['two coats', 'cyan']]],
	['#! incomplete', [['#! incomplete', 'bold red']]],
];

const names = ['black', 'red', 'green', 'yellow', 'blue', 'magenta', 'cyan', 'white'];

// The screen's lines as [character, colour] pairs.
function lines(screen) {
	let bold = false, fg = '';
	return screen.split('\n').map(line => {
		const cells = [];
		for (const [, sgr, char] of line.matchAll(/\x1b\[([0-9;]*)m|([^\x1b])/g)) {
			if (char !== undefined) {
				cells.push([char, (bold && fg ? 'bold ' : '') + fg]);
				continue;
			}
			for (const n of sgr.split(';').map(Number)) {
				if (n === 0) [bold, fg] = [false, ''];
				else if (n === 1) bold = true;
				else if (n === 39) fg = '';
				else if (n >= 30 && n < 38) fg = names[n - 30];
			}
		}
		return cells;
	});
}

if (process.argv[2] === '--book') {
	process.stdout.write(rows.map(([text]) => text + '\n').join(''));
	process.exit(0);
}
let bad = 0;
const screen = lines(fs.readFileSync(process.argv[2], 'utf8'));
for (const [text, parts] of rows) {
	const cells = screen.find(cells => cells.map(c => c[0]).join('').trimEnd() === text);
	let at = 0;
	if (!cells) {
		console.log(`not on the screen: ${text}`);
		bad++;
		continue;
	}
	for (const [part, colour] of parts) {
		const from = text.indexOf(part, at);
		if (from < 0) throw new Error(`the test has no ${part} in ${text}`);
		at = from + part.length;
		const found = [...new Set(cells.slice(from, at).filter(c => c[0] !== ' ').map(c => c[1]))];
		if (found.length !== 1 || found[0] !== colour) {
			console.log(`${text}\n\t${part}: ${JSON.stringify(found)}, not ${JSON.stringify(colour)}`);
			bad++;
		}
	}
}
process.exit(bad ? 1 : 0);
