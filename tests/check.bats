# wy-check: statuses, forms, levels, exceptions, context. Each rule's own examples are in rules.bats.

setup() {
	cd "$BATS_TEST_DIRNAME/.." || return
	PATH="${WITHY_BIN:-$PWD/build/bin}:$PATH"
	T=$BATS_TEST_TMPDIR
	unset WITHY_HOUSE NO_COLOR
	export WITHY_HOUSE=samples/house.yaml
	bad=0
	# One of each: an error of the line, one of the house, a warning, a note, in a line with letters
	# that are two and four bytes long.
	cat >"$T/book.wy" <<-'END'
	2026-06-09 10:00 air     north  temp=24K meter=hyg1
	2026-06-09 10:05 air     nort   temp=24C meter=hyg1
	2026-06-09       set     south  stage=dry temp=28C
	2026-06-10       note    store/r1 text="Māia 🌳 sah nach" by=nobody
	2026-06-11       probe   north  mc=9.4%
	END
}

is() { # is STATUS COMMAND...: runs it and holds its status
	local want=$1 got=0
	shift
	"$@" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" = "$want" ] || { echo "$*: status $got, not $want"; cat "$T/err"; bad=1; }
}

@test "check: statuses" {
	is 0 wy-check samples/book/*.wy
	is 0 wy-check -b
	is 1 wy-check "$T/book.wy"
	is 1 wy-check <"$T/book.wy"
	is 2 wy-check "$T/none.wy"
	is 2 wy-check --level=no-such-rule=off "$T/book.wy"
	is 2 wy-check --level=id-unknown=loud "$T/book.wy"
	is 2 wy-check --explain no-such-rule
	is 0 wy-check --explain
	is 0 wy-check --rules
	is 0 wy-check --events
	is 1 wy-check -q "$T/book.wy"
	[ ! -s "$T/out" ]
	[ "$bad" = 0 ]
}

@test "check: each diagnostic has its place, its rule and its mend; the sum is told" {
	wy-check "$T/book.wy" >"$T/out" 2>"$T/err" || true
	grep -q "^$T/book.wy:1:40: error: .*; .* \[unit-unknown\]$" "$T/out"
	grep -q "^$T/book.wy:2:26: error: .*did you mean north.* \[place-unknown\]$" "$T/out"
	grep -q "^$T/book.wy:4:65: error: .* \[person-unknown\]$" "$T/out"
	! grep -vE '^[^:]+:[0-9]+:[0-9]+: (error|warning|note): .+; .+ \[[a-z-]+\]$' "$T/out" || false
	grep -qE '^[0-9]+ errors?, [0-9]+ warnings?, [0-9]+ notes? in 5 lines$' "$T/err"
}

@test "check: the forms say the same" {
	wy-check "$T/book.wy" 2>/dev/null | sed -E 's/^[^:]*:([0-9]+):([0-9]+): ([a-z]+): .*\[([a-z-]+)\]$/\1 \2 \3 \4/' >"$T/text"
	wy-check --as=tsv "$T/book.wy" 2>/dev/null | awk -F'\t' 'NR > 1 { print $2, $3, $5, $6 }' >"$T/tsv"
	wy-check --as=json "$T/book.wy" 2>/dev/null | jq -r '.[] | "\(.line) \(.column) \(.level) \(.rule)"' >"$T/json"
	cmp "$T/text" "$T/tsv"
	cmp "$T/text" "$T/json"
	[ "$(wc -l <"$T/text")" -ge 3 ]
}

@test "check: SARIF is valid by the standard's schema, its columns count characters and its paths are URIs" {
	[ -d tests/node_modules/ajv-draft-04 ] || [ -z "$WITHY_QUICK" ] || skip "the npm packages are not installed (quick run)"
	mkdir "$T/a folder"
	cp "$T/book.wy" "$T/a folder/bük.wy"
	(cd "$T" && WITHY_HOUSE=$OLDPWD/samples/house.yaml wy-check --as=sarif "a folder/bük.wy") >"$T/log.sarif" 2>/dev/null || true
	node tests/sarif.js "$T/log.sarif" >"$T/results"
	grep -qP '^a%20folder/b%C3%BCk.wy\t1\t40\terror\tunit-unknown$' "$T/results"
	# The 65th byte of the line is its 62nd UTF-16 unit, which is what the log says that it counts.
	awk -F'\t' '$5 == "person-unknown" { exit $3 != 62 }' "$T/results"
	grep -q '"columnKind":"utf16CodeUnits"' "$T/log.sarif"
	sed 's/"version":"2.1.0"/"version":"3"/' "$T/log.sarif" >"$T/wrong.sarif"
	! node tests/sarif.js "$T/wrong.sarif" >"$T/why" || false
	wy-check --as=sarif samples/mistakes.wy >"$T/log.sarif" 2>/dev/null || true
	node tests/sarif.js "$T/log.sarif" >"$T/results"
	[ "$(wc -l <"$T/results")" -gt 15 ]
}

@test "check: colours on request, never against NO_COLOR" {
	wy-check "$T/book.wy" >"$T/plain" 2>/dev/null || true
	wy-check --color=always "$T/book.wy" >"$T/out" 2>/dev/null || true
	grep -q "$(printf '\033\[')" "$T/out"
	sed "s/$(printf '\033')\[[0-9;]*m//g" "$T/out" | cmp - "$T/plain"
	NO_COLOR=1 wy-check "$T/book.wy" 2>/dev/null | cmp - "$T/plain"
}

@test "check: levels by the house and by option" {
	is 0 wy-check --level=unit-unknown=warning --level=place-unknown=off --level=person-unknown=note --level=subject-malformed=off \
		--level=id-unknown=note "$T/book.wy"
	grep -q ': note: .*\[person-unknown\]' "$T/out"
	! grep -q 'place-unknown' "$T/out" || false
	sed '$a rules: {place-unknown: warning}' samples/house.yaml | sed '/^rules:/{x;s/^/x/;/^xx/{x;d};x}' >"$T/house.yaml"
	cp "$T/book.wy" "$T/b.wy"
	wy-check -H "$T/house.yaml" "$T/b.wy" >"$T/out" 2>"$T/err" || true
	grep -q ': warning: .*\[place-unknown\]' "$T/out" || { cat "$T/out" "$T/err"; false; }
	[ "$bad" = 0 ]
}

@test "check: an exception silences its line alone, needs a reason, and is told when it does nothing" {
	cat >"$T/allow.wy" <<-'END'
	2026-06-09 air nort temp=24C   # allow place-unknown: the new kiln has no name yet
	2026-06-09 air sout temp=24C
	2026-06-09 air north temp=25C  # allow place-unknown: nothing is wrong here
	2026-06-09 air soth temp=24C   # allow place-unknown
	2026-06-09 air suth temp=24C   # allow plase-unknown: a slip
	END
	wy-check "$T/allow.wy" >"$T/out" 2>/dev/null || true
	sed -E 's/^[^:]*:([0-9]+):.*\[([a-z-]+)\]$/\1 \2/' "$T/out" >"$T/got"
	! grep -q '^1 ' "$T/got" || false
	grep -qx '2 place-unknown' "$T/got"
	grep -q '^3 suppression-unused' "$T/got"
	grep -q '^4 suppression-reason' "$T/got"
	grep -q '^5 suppression-unknown' "$T/got"
}

@test "check: a part of a book is judged against the rest of it" {
	head -n 1500 samples/book/2026a.wy >"$T/first.wy"
	tail -n +1501 samples/book/2026a.wy >"$T/rest.wy"
	is 1 wy-check "$T/rest.wy"
	is 0 wy-check --against="$T/first.wy" "$T/rest.wy"
	is 0 wy-check --by-line "$T/rest.wy"
	[ "$bad" = 0 ]
}

@test "check: one mistake, one diagnostic; a wrong count is told once, with what waits for it" {
	sed '0,/cleave .*count=SH:/s//&1/' samples/book/2026a.wy >"$T/wrong.wy"
	! cmp -s "$T/wrong.wy" samples/book/2026a.wy || false
	wy-check "$T/wrong.wy" samples/book/2026b.wy samples/book/2027a.wy samples/book/2027b.wy >"$T/out" 2>/dev/null || true
	[ "$(grep -c ': error: ' "$T/out")" -le 1 ]
}

@test "check: the mistakes kept with the samples are each found" {
	wy-check --against=samples/book/2026a.wy --against=samples/book/2026b.wy --against=samples/book/2027a.wy \
		--against=samples/book/2027b.wy samples/mistakes.wy >"$T/out" 2>/dev/null || true
	[ "$(cut -d: -f2 "$T/out" | sort -u | wc -l)" -ge 20 ]
}
