# rooms.awk - the checks of rooms.sh that read many files. The first file is the list of rooms, a room
# and what it may include on each line; `what` names the check.
#
#	includes  the sources
#	lengths   the sources; main_most and function_most lines
#	symbols   the output of `nm -A -P`; `objects` is the folder before ROOM/NAME.o in it
#	circles   the same

FILENAME == ARGV[1] {
	for (i = 1; i <= NF; i++)
		allowed[$1, $i] = 1
	next
}

# ROOM of tools/lib/ROOM/NAME
function room_of(path) {
	sub(/^tools\/lib\//, "", path)
	sub(/\/.*/, "", path)
	return path
}

what == "includes" && /^[ \t]*#[ \t]*include[ \t]*"/ {
	header = $0
	sub(/^[^"]*"/, "", header)
	sub(/".*/, "", header)
	from = room_of(FILENAME)
	to = header ~ /\// ? room_of(header) : from
	if (header ~ /\.\.\//)
		print FILENAME ":" FNR ": write " header " as ROOM/NAME.h"
	else if (!((from, to) in allowed))
		print FILENAME ":" FNR ": the room " from " may not include " header
	else if (header ~ /_internal\.h$/ && from != to)
		print FILENAME ":" FNR ": " header " is private to the room " to
}

# A function starts at the last line with a letter in the first column before a lone brace.
what == "lengths" && FNR == 1 { end_file(); last_file = FILENAME; main = FILENAME ~ /^tools\/wy-[a-z]+\.c$/ }
what == "lengths" { last_line = FNR }
what == "lengths" && /^[A-Za-z_]/ { start = FNR; name = $0 }
what == "lengths" && /^\{/ { inside = 1 }
what == "lengths" && /^\}/ {
	if (inside && FNR - start + 1 > function_most)
		print FILENAME ":" start ": " FNR - start + 1 " lines, more than " function_most ": " name
	inside = 0
}

function end_file() {
	if (main && last_line > main_most)
		print last_file ": " last_line " lines, more than " main_most
}

what == "symbols" || what == "circles" {
	object = $1
	sub(/:$/, "", object)
	object = substr(object, length(objects) + 1)
	sub(/\.o$/, "", object)
	if ($3 ~ /^[TDBRCVW]$/)
		home[$2] = object
	else if ($3 == "U") {
		user[++uses] = object
		used[uses] = $2
	}
}

# by[FROM] lists the objects that FROM uses, reason[FROM, TO] the symbols.
function gather(   i, to) {
	for (i = 1; i <= uses; i++) {
		if (!(used[i] in home) || home[used[i]] == user[i])
			continue
		to = home[used[i]]
		if (!((user[i], to) in reason))
			by[user[i]] = by[user[i]] " " to
		reason[user[i], to] = reason[user[i], to] " " used[i]
	}
}

function tell_forbidden(   from, to, i, n, list) {
	for (from in by) {
		n = split(by[from], list, " ")
		for (i = 1; i <= n; i++) {
			to = list[i]
			if (!((room_of(from), room_of(to)) in allowed))
				print from ".o uses" reason[from, to] " of " to ".o; the room " room_of(from) " may not"
		}
	}
}

# Every object that can be reached from one: reach[FROM, TO]
function follow(from,   stack, depth, at, i, n, list) {
	stack[depth = 1] = from
	while (depth) {
		at = stack[depth--]
		n = split(by[at], list, " ")
		for (i = 1; i <= n; i++)
			if (!((from, list[i]) in reach)) {
				reach[from, list[i]] = 1
				stack[++depth] = list[i]
			}
	}
}

# Each use that leads back to its user
function tell_circles(   from, i, n, list, all) {
	for (from in by)
		all[from] = by[from]
	for (from in all)
		follow(from)
	for (from in all) {
		n = split(all[from], list, " ")
		for (i = 1; i <= n; i++)
			if ((list[i], from) in reach)
				print from ".o uses" reason[from, list[i]] " of " list[i] ".o, which leads back to it"
	}
}

END {
	if (what == "lengths")
		end_file()
	if (what == "symbols" || what == "circles")
		gather()
	if (what == "symbols")
		tell_forbidden()
	if (what == "circles")
		tell_circles()
}
