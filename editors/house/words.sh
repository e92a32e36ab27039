#!/bin/sh
# words.sh [-H HOUSE] FILE - prints an editor file (of nano, micro, Kate, GtkSourceView, or VS Code's grammar) with the
# events and fields of a works' own, which wy-check reads in its house file. Without -H, it is the one that wy-check
# finds. Print it again where the house file gets other events or fields.
#
# A list of words between ( and ) that holds all events of the format, all its fields, or all fields of one type gets
# the works' own of the same kind. Status 1: FILE has no such lists.
set -eu
usage() {
	echo 'usage: words.sh [-H HOUSE] FILE' >&2
	exit 2
}
house=
while getopts H: option; do
	case $option in
	H) house=$OPTARG ;;
	*) usage ;;
	esac
done
shift $((OPTIND - 1))
[ $# -eq 1 ] || usage
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
WITHY_HOUSE='' wy-check -H /dev/null --events --as=tsv >"$work/format"
wy-check ${house:+-H "$house"} --events --as=tsv >"$work/all"

LC_ALL=C awk -F '\t' '
# KIND of a row: "event", "field" for all of them, and the type of a field
function learn(kind, word) {
	if (FILENAME ~ /format$/) {
		if (!((kind, word) in known)) size[kind]++
		known[kind, word] = 1
	} else if (!((kind, word) in known)) {
		known[kind, word] = 0
		own[kind] = own[kind] "|" word
	}
}
# Whether n words are all that the format has of a kind
function are_all(kind, word, n,   i) {
	if (size[kind] != n) return 0
	for (i = 1; i <= n; i++)
		if (!known[kind, word[i]]) return 0
	return 1
}
function more(list,   word, n, kind) {
	n = split(list, word, "|")
	for (kind in size)
		if (are_all(kind, word, n)) {
			found[kind] = 1
			return own[kind]
		}
	return ""
}
FILENAME != file {
	if (FNR == 1) next
	learn("event", $1)
	if ($2 != "") {
		learn("field", $2)
		learn("type " $4, $2)
	}
	next
}
{
	for (rest = $0; match(rest, /\((\?:)?[a-z][a-z0-9_-]*(\|[a-z][a-z0-9_-]*)*\)/); rest = substr(rest, RSTART + RLENGTH)) {
		list = substr(rest, RSTART, RLENGTH - 1)
		bare = list
		sub(/^\((\?:)?/, "", bare)
		printf "%s%s%s)", substr(rest, 1, RSTART - 1), list, more(bare)
	}
	print rest
}
END {
	if (!found["event"] || !found["field"]) {
		print "words.sh: " file " does not have the events and fields of this wy-check; take the file of the same version" >"/dev/stderr"
		exit 1
	}
}' file="$1" "$work/format" "$work/all" "$1"
