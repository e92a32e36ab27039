# decade.awk - ten years of a book: the sample works' two years five times over, and each time `works` times side by side.
#
#	awk -v works=43 -f decade.awk samples/book/*.wy samples/book/*.wy | LC_ALL=C sort -s -k 1,1
#
# The files are named twice: the first pass finds the ids, the second one prints. Every copy has trees, lots, charges,
# bats, orders and parcels of its own, and kilns; the other places, people, meters and rates are shared.

function day_number(text,    y, m, d) { # days from 0000-03-01 on
	y = substr(text, 1, 4) + 0; m = substr(text, 6, 2) + 0; d = substr(text, 9, 2) + 0
	if (m < 3) { y--; m += 12 }
	return 365 * y + int(y / 4) - int(y / 100) + int(y / 400) + int((153 * (m - 3) + 2) / 5) + d - 1
}

function day_text(n,    era, y, m) {
	era = int(n / 146097); n %= 146097
	y = int((n - int(n / 1460) + int(n / 36524) - int(n / 146096)) / 365)
	n -= 365 * y + int(y / 4) - int(y / 100)
	m = int((5 * n + 2) / 153)
	y += 400 * era + (m >= 10)
	return sprintf("%04d-%02d-%02d", y, m < 10 ? m + 3 : m - 9, n - int((153 * m + 2) / 5) + 1)
}

function later(text) {
	if (!((text, copy) in moved))
		moved[text, copy] = day_text(day_number(text) + 730 * copy)
	return moved[text, copy]
}

function code(n,    digits) { # two digits or letters, which go into an id after its letter; there are 2232 of them
	digits = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
	return substr(digits, int(n / 36) + 1, 1) substr(digits, n % 36 + 1, 1)
}

# A place is marked in each id (\1), after each kiln (\2), and around each date (\3).
function marked(text,    out, word) {
	while (match(text, /[A-Za-z0-9_-]+/)) {
		word = substr(text, RSTART, RLENGTH)
		out = out substr(text, 1, RSTART - 1)
		if (word ~ /^[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]$/)
			word = "\003" word "\003"
		else if (word in known)
			word = substr(word, 1, 1) "\001" substr(word, 2)
		else if (word == "north" || word == "south")
			word = word "\002"
		out = out word
		text = substr(text, RSTART + RLENGTH)
	}
	return out text
}

function renewed(text,    part, n, i, out) {
	gsub(/\001/, code(copy * works + beside), text)
	gsub(/\002/, beside, text)
	n = split(text, part, "\003")
	for (i = 1; i <= n; i++)
		out = out (i % 2 ? part[i] : later(part[i]))
	return out
}

FNR == 1 { pass = ++times[FILENAME] }
/^#/ || !NF { next }
{ at = $2 ~ /:/ ? 3 : 2 } # where the event is
pass == 1 && $at ~ /^(fell|cleave|buy|load|pool|make|order|tally)$/ { known[$(at + 1)] }
pass == 1 && match($0, / parcel=[A-Za-z0-9_-]+/) { known[substr($0, RSTART + 8, RLENGTH - 8)] }
pass == 2 {
	sub(/ +# .*/, "")
	line[++lines] = marked($0)
	shared[lines] = line[lines] !~ /[\001\002]/
}

END {
	for (copy = 0; copy < 5; copy++)
		for (beside = 0; beside < works; beside++)
			for (i = 1; i <= lines; i++)
				if (!beside || !shared[i])
					print renewed(line[i])
}
