#!/bin/sh
# holds.sh WHAT FILE MATE - whether something that must hold of every book, however spoiled, holds of
# FILE. Status 3, and what differs, when it does not. MATE: its house file; of an export, its mapping.
#
#	tidy    tidying twice is tidying once; no line is lost, and the entries are the same
#	json    every form of JSON is JSON
#	order   no order of lines shows in an answer
#	parts   nor the number of workers, and states of parts come to the same as the whole
#	errors  the status of wy-check is 1 when it told an error, in every form
#	intake  rows in are rows that made an entry and rows told
set -u
bin=${bin:-build/bin}
what=$1 file=$2 mate=$3
T=$(mktemp -d) || exit 98
trap 'rm -rf "$T"' EXIT
export LC_ALL=C WITHY_TODAY=2027-06-30

fails() { echo "holds.sh $what: $*" >&2; exit 3; }

# tool STATUS-MOST NAME ARGUMENTS...: prints what it prints; ends all with its status where that is more
tool() {
	most=$1 name=$2
	shift 2
	"$bin/$name" "$@" 2>"$T/err" && status=0 || status=$?
	[ "$status" -le "$most" ] || { cat "$T/err" >&2; exit "$status"; }
}

same() { cmp "$1" "$2" >&2 || fails "$3"; }

# The entries in no order, without their places and how they are written, which tidying may change
entries() {
	tool 1 wy-flat -H "$mate" --without-bad "$1" | sed -E 's/^\{"line":[0-9]*,//; s/"written":"([^"\\]|\\.)*",?//g' | sort
}

holds_tidy() {
	tool 1 wy-tidy -H "$mate" "$file" >"$T/once"
	tool 1 wy-tidy -H "$mate" "$T/once" >"$T/twice"
	same "$T/once" "$T/twice" "tidying twice is another thing than once"
	[ "$(awk 'END { print NR }' "$file")" = "$(awk 'END { print NR }' "$T/once")" ] || fails "lines got lost"
	entries "$file" >"$T/a"
	entries "$T/once" >"$T/b"
	same "$T/a" "$T/b" "other entries"
}

holds_json() {
	for form in "wy-flat --without-bad" "wy-flat --without-bad --long --as=json" "wy-flat --without-bad --as=json probe" \
		"wy-stock --without-bad --as=json" "wy-check --as=json" "wy-check --as=sarif" "wy-plan --without-bad --as=json" "wy-plan --without-bad --buy --as=json" \
		"wy-stock --without-bad --rest --moisture --value --as=json" "wy-stock --without-bad --free --as=json" "wy-weigh --without-bad --as=json" \
		"wy-yield --without-bad --days --as=json" "wy-grade --without-bad --drift --as=json" "wy-pair --without-bad --as=json"; do
		# shellcheck disable=SC2086
		tool 1 $form -H "$mate" "$file" >"$T/out"
		jq . <"$T/out" >/dev/null 2>"$T/err" || fails "$form: $(cat "$T/err")"
	done
}

# Remarks about the format and bytes that only a first line may have stay behind.
lines_of() { tr -d '\000\r' <"$file" | sed 's/\xef\xbb\xbf//g' | grep -av '^#' | awk 'length($0) < 65000'; }

holds_order() {
	lines_of >"$T/a"
	awk -v seed=5 -v times=4 -v out="$T/b" -f tests/lib/shuffle.awk "$T/a"
	head -n 20 "$T/b.1" >"$T/b"
	tail -n +21 "$T/b.1" >"$T/c"
	for call in "wy-stock --by place,form,type,grade,lot" "wy-stock --audit" "wy-stock --orders" "wy-yield --by tree --apportion" \
		"wy-yield --losses --by charge" "wy-cost --by lot,grade" "wy-cost --stock --method mean" "wy-cost --kinds" "wy-grade --by tree,grader" "wy-grade --regrades" "wy-moist --by charge,lot,part" \
		"wy-moist --quality --by charge" "wy-moist --planing" "wy-moist --calibrate" "wy-air --by place,month" "wy-air --timed" \
		"wy-air --spells" "wy-air --outlook" "wy-dry --all" "wy-dry --all --curve" \
		"wy-trace L061" "wy-trace --sharing K26-05" "wy-trace --dossier --every" "wy-trace --dry --under=9%" "wy-returns" "wy-returns --bats" "wy-pair --on=2027-04-22" \
		"wy-stock --rest --moisture --value --by place,type,lot" "wy-stock --free" "wy-stock --cover" "wy-yield --days --by tree" \
		"wy-yield --losses --since=2027-01-01 --baseline=6" "wy-grade --shift --from=2027-01-01 --baseline=6 --by=supplier" "wy-grade --drift" \
		"wy-grade --measures" "wy-grade --claims" "wy-grade --agreement" "wy-plan --on=2027-03-01 --charges=2 --fill" "wy-plan --on=2027-03-01 --buy" \
		"wy-weigh" "wy-weigh --by=class" "wy-weigh --stock" "wy-weigh --residuals" "wy-weigh --pairs" "wy-weigh --histogram"; do
		# shellcheck disable=SC2086
		tool 1 $call -H "$mate" --without-bad --as=tsv "$T/a" >"$T/1"
		# shellcheck disable=SC2086
		tool 1 $call -H "$mate" --without-bad --as=tsv "$T/c" "$T/b" >"$T/2"
		same "$T/1" "$T/2" "$call: the order of the lines shows"
	done
	diagnoses "$T/a" >"$T/1"
	for turn in 1 2 3 4; do
		diagnoses "$T/b.$turn" >"$T/2"
		diff "$T/1" "$T/2" >&2 || fails "wy-check: the order of the lines shows"
	done
}

# What wy-check tells of which rule, where the place cannot show
diagnoses() { tool 1 wy-check -H "$mate" "$@" | sed 's/^[^:]*:[0-9]*:[0-9]*: //; s/repeats [^;]*;/repeats;/' | sort; }

holds_parts() {
	lines_of >"$T/a"
	n=$(awk 'END { print int(NR / 3) }' "$T/a")
	head -n "$n" "$T/a" >"$T/b"
	tail -n +"$((n + 1))" "$T/a" >"$T/c"
	for call in "wy-air --by place,day" "wy-moist --by charge,lot"; do
		# shellcheck disable=SC2086
		tool 1 $call -H "$mate" --without-bad -w1 "$T/a" >"$T/1"
		# shellcheck disable=SC2086
		tool 1 $call -H "$mate" --without-bad -w4 "$T/a" >"$T/2"
		same "$T/1" "$T/2" "$call: the workers show"
		for part in b c; do
			# shellcheck disable=SC2086
			tool 1 $call -H "$mate" --without-bad --partial "$T/$part" >"$T/$part.state"
		done
		# shellcheck disable=SC2086
		tool 1 $call -H "$mate" --merge "$T/c.state" "$T/b.state" >"$T/2"
		same "$T/1" "$T/2" "$call: the parts show"
	done
}

holds_errors() {
	for form in text json tsv; do
		"$bin/wy-check" -H "$mate" --as="$form" "$file" >"$T/out" 2>"$T/err" && status=0 || status=$?
		[ "$status" -le 1 ] || { cat "$T/err" >&2; exit "$status"; }
		case $form in
		text) n=$(grep -ac '^[^:]*:[0-9]*:[0-9]*: error: ' "$T/out") ;;
		json) n=$(jq '[.[] | select(.level == "error")] | length' <"$T/out") ;;
		tsv) n=$(awk -F '\t' 'NR == 1 { for (i = 1; i <= NF; i++) if ($i == "level") c = i; next } $c == "error"' "$T/out" | awk 'END { print NR }') ;;
		esac
		[ "$((n > 0))" = "$status" ] || fails "$n errors as $form and status $status"
		[ "$form" = text ] && told=$n
		[ "$n" = "$told" ] || fails "$told errors as text, $n as $form"
	done
	"$bin/wy-check" -q -H "$mate" "$file" >"$T/out" 2>&1 && quiet=0 || quiet=$?
	[ "$quiet" = "$status" ] || fails "status $quiet with -q, $status without"
	[ ! -s "$T/out" ] || fails "words with -q"
}

holds_intake() {
	"$bin/wy-intake" --clock=+12:00 --map "$mate" "$file" >"$T/out" 2>"$T/err" && status=0 || status=$?
	[ "$status" -le 1 ] || { cat "$T/err" >&2; exit "$status"; }
	grep -a '^[0-9]* rows = ' "$T/err" | awk '{
		for (i = 5; i <= NF; i++)
			if ($i == "+") break
		if ($1 != $4 + $(i + 1)) { print; bad = 1 }
	} END { exit bad }' >&2 || fails "rows that are neither an entry nor skipped"
	tool 1 wy-check "$T/out" >"$T/check"
	grep -aE 'error: .*\[(bad-utf8|nul-byte|value-|field-|date-|time-|id-malformed|unit-)' "$T/check" >&2 && fails "an entry that cannot be read"
	return 0
}

"holds_$what"
