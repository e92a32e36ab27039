# ical.awk - what RFC 5545 asks of the bytes and content lines of an iCalendar of whole-day events. Prints each failure; the
# status is 1 after one. To be run with LC_ALL=C, so that length() counts octets.
#
#	3.1      lines end in CR LF, none has more than 75 octets without them; a line that begins with a blank goes on from
#	         the one before; no character is cut in two
#	3.1      contentline = name *(";" param) ":" value
#	3.3.11   in TEXT a backslash is before \ ; , n or N, and none of ; , is bare
#	3.4, 3.6 BEGIN and END match; VERSION and PRODID once; an event has UID and DTSTAMP once, DTSTART, and no property
#	         twice that may be there once

function fail(text) { print FILENAME ":" FNR ": " text; bad = 1 }

function judge_text(value,   rest) {
	rest = value
	gsub(/\\[\\;,nN]/, "", rest)
	if (rest ~ /[\\;,]/) fail("not escaped: " value)
	if (rest ~ /[\001-\010\012-\037\177]/) fail("a control character: " value)
}

function judge_event(   i, n, once) {
	n = split("UID DTSTAMP DTSTART DTEND SUMMARY DESCRIPTION LOCATION PRIORITY TRANSP", once, " ")
	for (i = 1; i <= n; i++) if (count[once[i]] > 1) fail(once[i] " is there " count[once[i]] " times")
	if (!count["UID"] || !count["DTSTAMP"] || !count["DTSTART"]) fail("an event without UID, DTSTAMP or DTSTART")
	if (uid in seen) fail("the UID " uid " is there twice")
	if (count["DTEND"] && end <= start) fail("it ends before it starts: " start " " end)
	seen[uid] = 1
	events++
}

function judge(line,   at, name, value) {
	if (!match(line, /^[A-Z-]+(;[A-Z-]+=[^:;]+)*:/)) { fail("not a content line: " line); return }
	name = substr(line, 1, RLENGTH - 1)
	value = substr(line, RLENGTH + 1)
	sub(/;.*/, "", name)
	if (name == "BEGIN") { stack[++deep] = value; if (value == "VEVENT") { split("", count); start = end = uid = "" } return }
	if (name == "END") {
		if (stack[deep--] != value) fail("END of " value)
		if (value == "VEVENT") judge_event()
		return
	}
	if (!deep) fail("outside of a component: " line)
	count[name]++
	if (stack[deep] == "VCALENDAR") head[name]++
	if (name == "UID") uid = value
	if (name == "DTSTART") start = value
	if (name == "DTEND") end = value
	if (name ~ /^DT(START|END)$/ && value !~ /^[0-9][0-9][0-9][0-9][01][0-9][0-3][0-9]$/) fail("not a date: " line)
	if (name == "DTSTAMP" && value !~ /^[0-9]+T[0-9][0-9][0-9][0-9][0-9][0-9]Z$/) fail("not an instant: " line)
	if (name ~ /^(SUMMARY|DESCRIPTION|LOCATION)$/) judge_text(value)
}

{
	if (sub(/\r$/, "") != 1) fail("it does not end in CR LF")
	if (length($0) > 75) fail(length($0) " octets")
	if (/^[ \t]/) {
		if (substr($0, 2, 1) ~ /[\200-\277]/) fail("a character is cut in two")
		line = line substr($0, 2)
		next
	}
	if (line != "") judge(line)
	line = $0
}

END {
	if (line != "") judge(line)
	if (deep) fail("no END of " stack[deep])
	if (head["VERSION"] != 1 || head["PRODID"] != 1) fail("VERSION or PRODID is not there once")
	if (events != want && want != "") fail(events " events, not " want)
	exit bad
}
