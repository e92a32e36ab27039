// Reads what tests/outside/table.c prints with independent readers and compares with what was put in:
// JSON (RFC 8259) with the engine's own JSON.parse, CSV (RFC 4180) with csv-parse, HTML with
// parse5 (the WHATWG's parsing rules), Markdown with markdown-it (CommonMark and GitHub's tables).
// Numbers are held against ECMA-262's Number::toString, which by definition is the shortest.
const { execFileSync } = require("child_process");

const program = process.argv[2];
let failures = 0;

function fail(what, ...details) {
	if (++failures <= 20)
		console.log(what, ...details.map((d) => JSON.stringify(d)));
}

const print = (form) => execFileSync(program, [form], { maxBuffer: 1 << 28 }).toString("utf8");

function double(hex) {
	const bytes = Buffer.from(hex, "hex");
	return bytes.readDoubleBE(0);
}

const cells = print("cells").trimEnd().split("\n").map((line) => {
	const [hex, bits] = line.split("\t");
	return { text: Buffer.from(hex, "hex").toString("utf8"), value: double(bits) };
});

// By the words of utf8.h: what cannot act on a terminal is let through.
function visible(text, kept = "") {
	const named = { "\t": "\\t", "\n": "\\n", "\r": "\\r" };
	const unsafe = /[\u0000-\u001f\u007f-\u009f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ufff9-\ufffb]/g;
	const hex = (c, n) => c.charCodeAt(0).toString(16).padStart(n, "0");

	return text.replace(unsafe, (c) =>
		kept.includes(c) ? c : named[c] || (c < "\u0080" ? "\\x" + hex(c, 2) : "\\u" + hex(c, 4)));
}

const same = (a, b) => Object.is(a, b) || (a === 0 && b === 0);

function reals() {
	const lines = print("reals").trimEnd().split("\n");
	for (const line of lines) {
		const [bits, text] = line.split("\t");
		const want = String(double(bits)).replace("e+", "e");
		if (text !== want)
			fail("real", text, want);
	}
	return lines.length;
}

function json() {
	const rows = JSON.parse(print("json"));
	rows.forEach((row, i) => {
		if (row.some_text !== cells[i].text)
			fail("json text", row.some_text, cells[i].text);
		if (!same(row.value_pct, cells[i].value) || row.end !== i)
			fail("json number", row, cells[i]);
	});
	return rows.length;
}

function csv(parse) {
	const rows = parse(print("csv"), { record_delimiter: "\r\n", columns: true, relax_column_count: false });
	rows.forEach((row, i) => {
		const want = visible(cells[i].text, "\r\n");
		const defused = /^[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]/.test(cells[i].text) ? "'" + want : want;
		if (row.some_text !== defused)
			fail("csv text", row.some_text, defused);
		if (/^[=+\-@]/.test(row.some_text))
			fail("csv formula", row.some_text);
		if (!same(Number(row.value_pct), cells[i].value) || row.end !== String(i))
			fail("csv number", row, cells[i]);
	});
	return rows.length;
}

function tsv() {
	const lines = print("tsv").split("\n").slice(1, -1);
	const named = { t: "\t", n: "\n", r: "\r", "\\": "\\" };
	lines.forEach((line, i) => {
		const [text, value, end, ...more] = line.split("\t");
		const back = text.replace(/\\(?:x(..)|u(....)|(.))/g, (_, x, u, c) =>
			c ? named[c] : String.fromCharCode(parseInt(x || u, 16)));
		if (back !== cells[i].text || more.length)
			fail("tsv text", text, cells[i].text);
		if (!same(Number(value), cells[i].value) || end !== String(i))
			fail("tsv number", line, cells[i]);
	});
	return lines.length;
}

// All elements called `name` under `node`, and the text of one.
function* elements(node, name) {
	for (const child of node.childNodes || []) {
		if (child.nodeName === name)
			yield child;
		yield* elements(child, name);
	}
}

const text_of = (node) =>
	node.nodeName === "#text" ? node.value : (node.childNodes || []).map(text_of).join("");

function html(parse5, source, label, shown) {
	const tree = parse5.parseFragment(source, {
		onParseError: (e) => label === "html" && fail("html error", e.code, e.startLine),
	});
	const rows = [...elements(tree, "tr")].slice(1);
	rows.forEach((row, i) => {
		const tds = [...elements(row, "td")];
		const inner = tds.flatMap((td) => td.childNodes.filter((n) => n.nodeName !== "#text"));
		if (tds.length !== 3 || inner.length)
			return fail(label + " cells", source.split("\n")[i], tds.length);
		if (text_of(tds[0]) !== shown(cells[i].text) || text_of(tds[2]) !== String(i))
			fail(label + " text", text_of(tds[0]), shown(cells[i].text));
	});
	return rows.length;
}

async function main() {
	const { parse } = require("csv-parse/sync");
	const parse5 = await import("parse5");
	const { default: Markdown } = await import("markdown-it");
	const rendered = new Markdown().render(print("md"));
	const counts = [
		reals(), json(), csv(parse), tsv(),
		html(parse5, print("html"), "html", (text) => visible(text)),
		html(parse5, rendered, "md", (text) => visible(text).trim()),
	];
	if (counts.join() !== [100000, 4000, 4000, 4000, 4000, 4000].join())
		fail("rows", counts);
	console.log(failures ? failures + " differ" : "all forms read back: " + counts.join(" "));
	process.exit(failures ? 1 : 0);
}

main();
