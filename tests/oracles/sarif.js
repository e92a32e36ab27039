/*
 * sarif.js FILE - exits 1, saying why, unless FILE is valid SARIF 2.1.0. The schema is OASIS's
 * (2.1.0-rtm.5), as the npm package @microsoft/jest-sarif carries it; the validator is ajv.
 */
"use strict";
const fs = require("fs");
const path = require("path");
const Ajv = require("ajv-draft-04").default;

const schema = path.join(__dirname, "node_modules/@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json");
const ajv = new Ajv({ strict: false, allErrors: true, validateFormats: false, unicodeRegExp: false });
const valid = ajv.compile(JSON.parse(fs.readFileSync(schema, "utf8")));
const log = JSON.parse(fs.readFileSync(process.argv[2], "utf8"));

if (!valid(log)) {
	console.log(JSON.stringify(valid.errors.slice(0, 5), null, 1));
	process.exit(1);
}
for (const result of log.runs[0].results) {
	const { artifactLocation, region } = result.locations[0].physicalLocation;
	console.log([artifactLocation.uri, region.startLine, region.startColumn, result.level, result.ruleId].join("\t"));
}
