# needs: bsdutils
# Text answers on a terminal of 80 columns that no suite of one tool looks at: pages, reports, lists, help.

load lib/common
load lib/terminal

setup() {
	at_root
}

# No line of the screen is wider than 80 columns, and there are at least so many lines.
no_wider() {
	sed -i "s/$(printf '\033')\[[0-9;]*m//g" "$T/screen"
	[ "$(wc -l <"$T/screen")" -ge "$1" ] || fail "$2: only $(wc -l <"$T/screen") lines"
	LC_ALL=C.UTF-8 awk 'length($0) > 80 { print; wide = 1 } END { exit wide }' "$T/screen" >"$T/wide" || fail "$2: $(head -n 3 "$T/wide")"
}

@test "screens: every month's page, the checker, the lists and the reports are 80 columns wide at most" {
	cd samples
	for month in $(cut -c 1-7 book/*.wy | grep -E '^20[0-9]{2}-' | sort -u); do
		on_terminal 80 wy-month -b --month "$month" || true
		no_wider 40 "$month"
	done
	while IFS='|' read -r least call; do
		# shellcheck disable=SC2086
		on_terminal 80 $call || true
		no_wider "$least" "$call"
	done <<-END
		12|wy-check -b
		50|wy-check -b mistakes.wy
		90|wy-check --rules
		300|wy-check --events
		12|wy-check --as=text --columns=rule,file,line,column,level -b
		1|wy-pick -b --number event=probe
		4|wy-start $T/works
		10|wy-intake --map exports/kiln-north.map.yaml exports/kiln-north.csv -q
		30|wy-due -b --on 2027-12-31
		60|wy-due -b --on 2026-07-25 --days 40
		20|wy-dry -b --on 2027-12-20 --columns=side,charge,text --as=text
		30|wy-reckon --list
	END
	report
}

# A pipe gets each message in one line, as programs that read them need it.
@test "screens: what goes wrong is told in 80 columns by every filter, and in one line to a pipe" {
	printf '%s\n' '2026-01-05 buy L1 form=cleft count=SH:20 into=yard/b1' '2026-01-06 prob L1 at=yard/b1 mc=2%' \
		'2026-01-06 grade L1 at=yard/b1 count=1:5 cull=stain:2,knots:3,splitting:4 by=mk' >"$T/bad.wy"
	sed 's/per10C: 0.9/per10C: 0.9\n    refrence: 20C/' samples/house.yaml >"$T/house.yaml"
	for call in "wy-air $T/bad.wy" "wy-dry $T/bad.wy" "wy-due $T/bad.wy" "wy-flat $T/bad.wy" "wy-grade $T/bad.wy" "wy-moist $T/bad.wy" "wy-pick event=air $T/bad.wy" \
		"wy-stock $T/bad.wy" "wy-yield $T/bad.wy" "wy-moist -H $T/house.yaml $T/bad.wy" "wy-moist --by=tree $T/bad.wy" "wy-intake --map $T/house.yaml $T/bad.wy"; do
		# shellcheck disable=SC2086
		on_terminal 80 $call || true
		no_wider 2 "$call"
		tr -s ' \n' '  ' <"$T/screen" >"$T/words"
		# shellcheck disable=SC2086
		$call 2>&1 >"$T/out" | cat >"$T/err" || true
		grep -q '^ ' "$T/err" && fail "$call: a pipe gets broken lines"
		tr -s ' \n' '  ' <"$T/err" | cmp -s - "$T/words" || [ -s "$T/out" ] || fail "$call: other words: $(cat "$T/words")"
	done
	report
}

# Only what is to be copied keeps its width: the lines of the examples.
@test "screens: the page of every rule wraps its sentences, and says the same as elsewhere" {
	on_terminal 80 wy-check --about
	cp "$T/screen" "$T/about"
	grep -v '^    2[0-9][0-9][0-9]-' "$T/about" >"$T/screen"
	no_wider 500 'wy-check --about'
	wy-check --about >"$T/plain"
	[ "$(tr -s ' \n' '  ' <"$T/about")" = "$(tr -s ' \n' '  ' <"$T/plain")" ] || fail 'other words'
	grep -q '^  To fix it: .\{80\}' "$T/plain" || fail 'a pipe gets broken lines'
	report
}

@test "screens: the help of every tool and of every quantity is 80 columns wide at most" {
	n=0
	for tool in tools/wy-*.1; do
		tool=$(basename "$tool" .1)
		on_terminal 80 "$tool" --help
		no_wider 15 "$tool --help"
		n=$((n + 1))
	done
	for quantity in $(wy-reckon --list --no-header --columns=quantity | sort -u); do
		on_terminal 80 wy-reckon "$quantity" --help
		no_wider 8 "wy-reckon $quantity --help"
		n=$((n + 1))
	done
	[ "$n" -ge 30 ] || fail "only $n"
	report
}

# 120 columns are used where they are there; small lines are drawn only for a terminal that shows them.
@test "screens: the month uses a wide terminal, and draws small lines where it can" {
	cd samples
	for width in 80 120 200; do
		LC_ALL=C.UTF-8 on_terminal $width wy-month -b --month 2027-12
		most=$(LC_ALL=C.UTF-8 awk '{ if (length($0) > most) most = length($0) } END { print most }' "$T/screen")
		[ "$most" -le "$width" ] && [ "$most" -le 120 ] || fail "$width: $most wide"
		[ "$width" = 80 ] || [ "$most" -gt 90 ] || fail "$width: only $most wide"
		LC_ALL=C.UTF-8 grep -qE '^  store/r1      8.9 .{31} 9.8$' "$T/screen" || fail "$width: no line of the air: $(grep 'store/r1' "$T/screen" | tail -n 2)"
		LC_ALL=C.UTF-8 grep -qE '^  K27-09       12.1 █.*▁ 21.0$' "$T/screen" || fail "$width: no line of the charge: $(grep '  K27-09 ' "$T/screen")"
	done
	LC_ALL=C on_terminal 80 wy-month -b --month 2027-12
	! grep -qE '▁|█' "$T/screen" || fail 'drawn for a terminal that does not show it'
	LC_ALL=C.UTF-8 on_terminal 80 wy-month -b --month 2027-12 --plain
	! grep -qE '▁|█' "$T/screen" || fail 'drawn in sentences'
	report
}
