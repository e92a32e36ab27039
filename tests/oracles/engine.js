// engine.js duckdb|clickhouse PATH - runs the SQL on standard input in the embedded engine, on the database at PATH, and
// prints the rows that the queries give as tab-separated values. A statement ends with ; at the end of a line.
'use strict';
const fs = require('fs');

const [engine, path] = process.argv.slice(2);
const statements = fs.readFileSync(0, 'utf8').split(/;[ \t]*(?:\n|$)/).map((s) => s.trim()).filter(Boolean);

async function duckdb() {
	const { DuckDBInstance } = require('@duckdb/node-api');
	const db = await (await DuckDBInstance.create(path)).connect();
	for (const sql of statements) {
		const rows = (await db.runAndReadAll(sql)).getRowsJson();
		if (/^(SELECT|WITH)\b/i.test(sql))
			for (const row of rows) console.log(row.map((cell) => (cell === null ? '' : cell)).join('\t'));
	}
}

async function clickhouse() {
	const { Session } = require('chdb');
	const session = new Session(path);
	for (const sql of statements) {
		const rows = session.query(sql, 'TabSeparated');
		if (rows) process.stdout.write(rows.replace(/\\N/g, ''));
	}
}

(engine === 'duckdb' ? duckdb() : clickhouse()).catch((error) => {
	console.error(String(error.message || error));
	process.exit(1);
});
