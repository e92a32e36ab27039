# wy-intake on ten generated exports of each shape that once gave wrong or lost readings without a word. The
# generator (lib/exports.awk) writes the truth beside each export, lib/exports_judge.awk compares.
#
# An open question counts as answered only by the user: a proposal with one, used as it is, may give fewer
# readings and a status that says so, but no wrong one.

load lib/common

setup() {
	at_root
	L=$PWD/tests/lib
}

exports() { awk -v dir="$T" -v shape="$1" -f "$L/exports.awk"; }

# take NAME MAP ARGS...: reads NAME.csv; its status is in $got, `wrong N lost N` in $told
take() {
	local name=$1 map=$2
	shift 2
	got=0
	wy-intake "$@" --map "$map" "$T/$name.csv" >"$T/out" 2>"$T/err" || got=$?
	told=$(awk -f "$L/exports_judge.awk" "$T/$name.truth" "$T/out")
}

said() { [ "$got" != 0 ] || grep -Eq '(warning|error): ' "$T/err"; }

# judge RULE NAME: `all`: every reading, none wrong, status 0; `never`: none wrong, and what is lost is said;
# `warned`: a wrong one only with a warning; `loud`: none wrong, and something is said; `asked`: none wrong,
# and the proposal asked about the column that is not read
judge() {
	case $1 in
	all) [ "$told" = 'wrong 0 lost 0' ] && [ "$got" = 0 ] ;;
	never) [ "${told% lost*}" = 'wrong 0' ] && { [ "$told" = 'wrong 0 lost 0' ] || said; } ;;
	warned) [ "$told" = 'wrong 0 lost 0' ] || said ;;
	asked) [ "${told% lost*}" = 'wrong 0' ] && grep -q '^wy-intake: open: column ' "$T/asks" ;;
	loud) [ "${told% lost*}" = 'wrong 0' ] && said ;;
	esac || fail "$2: $told, status $got, not $1: $(tail -n 3 "$T/err")"
}

@test "exports: read by a mapping written by hand, none is wrong and nothing is lost without a word" {
	n=0
	while read -r shape rule clock; do
		exports "$shape" || fail "$shape: not generated"
		for i in 1 2 3 4 5 6 7 8 9 10; do
			n=$((n + 1))
			[ -s "$T/$shape-$i.csv" ] || fail "$shape-$i: no export"
			# shellcheck disable=SC2086
			take "$shape-$i" "$T/$shape-$i.yaml" ${clock:+--clock $clock}
			judge "$rule" "$shape-$i"
			# readings of one moment meet in one entry
			[ "$shape" != autumn-long ] || [ "$(grep -c 'temp=.* rh=' "$T/out")" = "$(wc -l <"$T/out")" ] || fail "$shape-$i: apart"
		done
	done <<-END
	heading-unit loud
	heading-swap all
	heading-number loud
	two-times warned
	missing-file loud
	newest-first all Pacific/Auckland
	autumn-long all Pacific/Auckland
	fixed-autumn warned Pacific/Auckland
	END
	[ "$n" = 80 ] || fail "$n exports"
	report
}

# What the user does who finds the right form among those that are offered.
choose() {
	if [ -f "$T/$1.form" ]; then
		form=$(cat "$T/$1.form")
		grep -qF "#form: \"$form\"" "$T/map.yaml" || fail "$1: $form is not offered"
		sed "s|^  #\(form: \"$form\" .*\)|  \1|" "$T/map.yaml" >"$T/chosen.yaml"
	else
		sed 's/#\(rh: {.*\)}  *# OPEN.*power: 2.*/\1, power: 2}/' "$T/map.yaml" >"$T/chosen.yaml"
	fi
}

@test "exports: a proposal that is used as it is gives no wrong reading; an open one offers the right answer" {
	n=0
	while read -r shape want rule chosen clock; do
		exports "$shape" || fail "$shape: not generated"
		for i in 1 2 3 4 5 6 7 8 9 10; do
			n=$((n + 1)) got=0
			# shellcheck disable=SC2086
			wy-intake ${clock:+--clock $clock} --guess --subject north "$T/$shape-$i.csv" >"$T/map.yaml" 2>"$T/asks" || got=$?
			[ "$got" = "$want" ] || fail "$shape-$i: --guess gives $got: $(cat "$T/asks")"
			[ "$got" = 0 ] || grep -q '^wy-intake: open: ' "$T/asks" || fail "$shape-$i: it does not say why"
			# shellcheck disable=SC2086
			take "$shape-$i" "$T/map.yaml" ${clock:+--clock $clock}
			judge "$rule" "$shape-$i"
			[ "$chosen" = yes ] || continue
			choose "$shape-$i"
			# shellcheck disable=SC2086
			take "$shape-$i" "$T/chosen.yaml" ${clock:+--clock $clock}
			judge all "$shape-$i, chosen"
		done
	done <<-END
	heading-guess 1 loud -
	heading-rooms 1 loud -
	two-serials 1 warned -
	missing-column 0 all -
	kelvin-rows 0 loud -
	kelvin-all 1 asked -
	points-month-first 0 all -
	points-one-day 1 loud yes
	monthly 1 loud yes
	daily-month-first 1 loud yes
	monthly-twice 1 loud yes
	probe-rh 0 all -
	fraction 1 asked yes
	a-and-p 0 all -
	own-halves 1 loud -
	half-column 0 all -
	half-words 1 loud -
	morning-word 1 loud -
	zone-words 0 all - Europe/Berlin
	zone-words 1 loud -
	zone-one 1 loud - Europe/Berlin
	zone-column 0 all - Europe/Berlin
	newest-first 0 all - Pacific/Auckland
	serial 1 loud yes
	serial-days 1 loud yes
	unix-part 0 all -
	long-digits 0 all -
	unit-column 0 all -
	unit-long 0 all -
	fixed-spring 1 loud - Europe/Berlin
	offset-hours 1 loud -
	sensor-lines 0 never -
	END
	[ "$n" = 320 ] || fail "$n exports"
	report
}

@test "exports: an export that ends within the repeated hour, and the whole one after it, give each reading once" {
	for shape in ends-in-first first-newest; do
		exports "$shape"
		for i in 1 2 3 4 5 6 7 8 9 10; do
			name=$shape-$i
			wy-intake --clock Pacific/Auckland --map "$T/$name.yaml" "$T/$name.csv" >"$T/book.wy" 2>"$T/err" || fail "$name: $?"
			cp "$T/$name.2.csv" "$T/$name.csv"
			take "$name" "$T/$name.yaml" --clock Pacific/Auckland --against "$T/book.wy"
			cat "$T/book.wy" >>"$T/out"
			told=$(awk -f "$L/exports_judge.awk" "$T/$name.truth" "$T/out")
			judge all "$name"
			! said || fail "$name: $(cat "$T/err")"
		done
	done
	report
}

@test "exports: against a book only what it lacks is added; what was corrected there stays, and a gap to it is reported" {
	exports against
	for i in 1 2 3 4 5 6 7 8 9 10; do
		take "against-$i" "$T/against-$i.yaml" --against "$T/against-$i.book"
		judge all "against-$i"
		grep -q ': warning: the book has another temp of north at .*; the book.s stays -- differs$' "$T/err" || fail "against-$i: no difference reported"
		cat "$T/against-$i.book" "$T/out" >"$T/book.wy"
		# all of it is there now
		take "against-$i" "$T/against-$i.yaml" --against "$T/book.wy"
		[ ! -s "$T/out" ] || fail "against-$i: added again: $(cat "$T/out")"
		# a later export, with a gap between
		{ head -n 1 "$T/against-$i.csv"; sed 's/^2026-06/2026-07/' "$T/against-$i.csv" | tail -n +2; } >"$T/later.csv"
		wy-intake --map "$T/against-$i.yaml" --against "$T/book.wy" "$T/later.csv" >"$T/out" 2>"$T/err" || fail "later: $?"
		[ "$(grep -c ' without a reading ([0-9]* missing), from 2026-06-.* (in the book) to 2026-07-.* -- gap$' "$T/err")" = 1 ] ||
			fail "against-$i: the gap to the book is not reported: $(cat "$T/err")"
	done
	report
}
