// Checks of the house file's schema by other hands: the npm packages ajv (JSON Schema draft-07)
// and yaml (YAML 1.2 core schema).
//
//	node tests/oracles/house.js judge SCHEMA FILE...   prints `good FILE` or `bad FILE`
//	node tests/oracles/house.js cover KEYS EXAMPLE     prints each key of KEYS that EXAMPLE does not use
const fs = require("fs");
const yaml = require("yaml");
const Ajv = require("ajv");

function judge(schema, files) {
	const validate = new Ajv({ strict: true, allErrors: true }).compile(JSON.parse(fs.readFileSync(schema, "utf8")));

	for (const file of files) {
		const data = yaml.parse(fs.readFileSync(file, "utf8")) ?? {};
		const good = validate(data);
		console.log(`${good ? "good" : "bad"} ${file}`);
		if (!good && process.env.WHY)
			for (const e of validate.errors)
				console.log(`  ${e.instancePath} ${e.message}`);
	}
}

// Marks what the example's `data` uses of the record, and of the records below it.
function mark(records, name, data, used) {
	for (const [key, row] of Object.entries(records[name].keys)) {
		const value = records[name].bare ? data : data[key];
		if (value === undefined)
			continue;
		used.add(`${name}.${key}`);
		if (!records[row.is])
			continue;
		for (const part of row.as ? Object.values(value) : [value])
			mark(records, row.is, part, used);
	}
}

function cover(keys, example) {
	const { records } = yaml.parse(fs.readFileSync(keys, "utf8"));
	const used = new Set();

	mark(records, "house", yaml.parse(fs.readFileSync(example, "utf8")), used);
	for (const name of Object.keys(records))
		for (const key of Object.keys(records[name].keys))
			if (!used.has(`${name}.${key}`))
				console.log(`${name}.${key}`);
}

const [what, first, ...rest] = process.argv.slice(2);
if (what === "judge")
	judge(first, rest);
else
	cover(first, rest[0]);
