/*
 * ical.js FILE - reads an iCalendar with the npm package ical.js, an independent parser of RFC 5545, and prints a row for
 * each event: UID, first day, last day, stamp, category, place, summary, description, with tabs between and \n for line ends.
 * Exits 1, saying why, where the file is not valid.
 */
"use strict";
const fs = require("fs");
const ICAL = require("ical.js");

function shown(text) {
	return String(text ?? "").replaceAll("\\", "\\\\").replaceAll("\n", "\\n").replaceAll("\t", "\\t");
}

try {
	const calendar = new ICAL.Component(ICAL.parse(fs.readFileSync(process.argv[2], "utf8")));
	if (calendar.name !== "vcalendar" || calendar.getFirstPropertyValue("version") !== "2.0")
		throw new Error("not a VCALENDAR of version 2.0");
	for (const component of calendar.getAllSubcomponents("vevent")) {
		const event = new ICAL.Event(component, { strictExceptions: true });
		if (!event.startDate.isDate || !event.endDate.isDate || event.endDate.compare(event.startDate) <= 0)
			throw new Error(event.uid + ": its days are not whole days in order");
		const last = event.endDate.clone();
		last.adjust(-1, 0, 0, 0);
		console.log([event.uid, event.startDate, last, component.getFirstPropertyValue("dtstamp"), component.getFirstPropertyValue("categories"),
			event.location, event.summary, event.description].map(shown).join("\t"));
	}
} catch (error) {
	console.log(String(error));
	process.exit(1);
}
