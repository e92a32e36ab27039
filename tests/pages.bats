# needs: mandoc
# Every manual page is sound.

@test "pages: mandoc has nothing to say against any of them" {
	cd "$BATS_TEST_DIRNAME/.."
	bad=0 n=0
	for page in tools/*.[17] spec/*.[57]; do
		n=$((n + 1))
		mandoc -T lint -W warning "$page" || bad=1
	done
	[ "$n" -ge 8 ] && [ "$bad" = 0 ]
}

# Every example of withy(7), in the folder that it names.
@test "pages: the examples of withy(7) work" {
	cd "$BATS_TEST_DIRNAME/.."
	PATH="${WITHY_BIN:-$PWD/build/bin}:$PATH"
	page=$PWD/tools/withy.7
	cd samples
	bad=0 n=0
	while read -r command; do
		n=$((n + 1))
		# an answer, and not only its header
		case $command in wy-check*) least=1 ;; *) least=2 ;; esac
		out=$(bash -o pipefail -c "$command" 2>&1) && [ "$(wc -l <<<"$out")" -ge $least ] || { echo "$command: $out"; bad=1; }
	done < <(sed -n 's/^\.Dl \$ //p' "$page")
	[ "$n" -ge 5 ] && [ "$bad" = 0 ]
}

@test "pages: what a page of ours refers to is there" {
	cd "$BATS_TEST_DIRNAME/.."
	bad=0 n=0
	while read -r name section; do
		n=$((n + 1))
		[ -f "tools/$name.$section" ] || [ -f "spec/$name.$section" ] ||
			{ echo "$name($section): in $(grep -l "^\.Xr $name $section" tools/*.[17] spec/*.[57])"; bad=1; }
	done < <(sed -nE 's/^\.Xr ((wy-|withy|book|house|mapping|glossary)[a-z-]*) ([0-9]).*/\1 \3/p' tools/*.[17] spec/*.[57] | sort -u)
	[ "$n" -ge 12 ] && [ "$bad" = 0 ]
}

# Each page and each help tell of the same options, the long name and the short.
@test "pages: every tool has a page, with all of its options and no others" {
	cd "$BATS_TEST_DIRNAME/.."
	PATH="${WITHY_BIN:-$PWD/build/bin}:$PATH"
	bad=0 n=0
	for source in tools/wy-*.c; do
		tool=$(basename "${source%.*}")
		n=$((n + 1))
		[ -f "tools/$tool.1" ] || { echo "$tool has no page"; bad=1; continue; }
		"$tool" --help-options | cut -f 1,2 | tr '\t' '\n' | sed '/^$/d' | sort >"$BATS_TEST_TMPDIR/has"
		awk '$1 == ".It" && $2 == "Fl" {
			for (i = 2; i < NF; i++) if ($i == "Fl") print "-" $(i + 1)
		}' "tools/$tool.1" | sort -u >"$BATS_TEST_TMPDIR/told"
		diff "$BATS_TEST_TMPDIR/has" "$BATS_TEST_TMPDIR/told" >"$BATS_TEST_TMPDIR/diff" ||
			{ echo "$tool: <: only in the tool, >: only on the page"; grep '^[<>]' "$BATS_TEST_TMPDIR/diff"; bad=1; }
		# the help prints what completion is told
		for option in $(cat "$BATS_TEST_TMPDIR/has"); do
			"$tool" --help | grep -qE -e "(^|[ ,])$option([^a-z-]|\$)" || { echo "$tool --help: no $option"; bad=1; }
		done
		grep -q "^\.Nd " "tools/$tool.1" && grep -q "^\.Sh EXIT STATUS" "tools/$tool.1" && grep -q "^\.Sh EXAMPLES" "tools/$tool.1" ||
			{ echo "$tool.1 lacks a part"; bad=1; }
	done
	for page in tools/wy-*.1; do
		[ -f "${page%.1}.c" ] || [ -f "${page%.1}.sh" ] || { echo "$page is of no tool"; bad=1; }
	done
	[ "$n" -ge 10 ] && [ "$bad" = 0 ]
}

@test "pages: withy(7) lists every tool with what its page and its help say it does" {
	cd "$BATS_TEST_DIRNAME/.."
	PATH="${WITHY_BIN:-$PWD/build/bin}:$PATH"
	bad=0
	for page in tools/wy-*.1; do
		tool=$(basename "$page" .1)
		does=$(sed -n 's/^\.Nd //p' "$page")
		grep -A 1 "^\.It Xr $tool 1$" tools/withy.7 | grep -qxF -e "$does" || { echo "$tool: not so in withy(7)"; bad=1; }
		# the help says it as the page does, in other words if it must, and names the tool
		"$tool" --help | head -n 1 | grep -q "^$tool - [^ ]" || { echo "$tool --help: $("$tool" --help | head -n 1)"; bad=1; }
	done
	[ "$bad" = 0 ]
}

# unescaped: mdoc's literal text as it shows
unescaped() { sed 's/\\e/\\/g; s/\\(dq/"/g; s/\\&//g; s/\\-/-/g'; }

# Blocks in which a line begins with `$ `: `$ cat FILE` is followed by what FILE holds, any other by
# what the command prints. All of a page are run in one folder, in their order.
@test "pages: examples print what the page says" {
	cd "$BATS_TEST_DIRNAME/.."
	PATH="${WITHY_BIN:-$PWD/build/bin}:$PATH"
	unset WITHY_HOUSE WITHY_TODAY
	bad=0 n=0
	for page in tools/wy-*.1; do
		dir=$BATS_TEST_TMPDIR/$(basename "$page")
		mkdir -p "$dir/in" "$dir/works"
		unescaped <"$page" | awk -v dir="$dir/in" '
			/^\.Bd -literal/ { literal = 1; next }
			/^\.Ed/ { literal = on = 0 }
			literal && /^\$ / { n++; print substr($0, 3) >(dir "/" n ".command"); printf "" >(dir "/" n ".want"); on = 1; next }
			on { print >(dir "/" n ".want") }
			END { print n + 0 >(dir "/count") }'
		for i in $(seq "$(cat "$dir/in/count")"); do
			read -r command <"$dir/in/$i.command" || true
			case $command in
			'cat '*' '*) ;;
			'cat '*) cp "$dir/in/$i.want" "$dir/works/${command#cat }"; continue ;;
			esac
			n=$((n + 1))
			(cd "$dir/works" && bash "$dir/in/$i.command") >"$dir/in/$i.got" 2>/dev/null || true
			diff "$dir/in/$i.want" "$dir/in/$i.got" || { echo "$page: $command"; bad=1; }
		done
	done
	[ "$n" -ge 15 ] && [ "$bad" = 0 ]
}

# The other examples, of a works' whole book: here the one of tests/cases/example and house.yaml
# beside it. They have no output to hold them to, but run, read what they name and use no wrong
# option. What they print goes on to a printer that is not there.
@test "pages: examples without output run" {
	cd "$BATS_TEST_DIRNAME/.."
	PATH="${WITHY_BIN:-$PWD/build/bin}:$PATH"
	unset WITHY_HOUSE
	export WITHY_TODAY=2027-03-01
	mkdir "$BATS_TEST_TMPDIR/bin" "$BATS_TEST_TMPDIR/works"
	printf '#!/bin/sh\nexec cat\n' >"$BATS_TEST_TMPDIR/bin/lpr"
	chmod 755 "$BATS_TEST_TMPDIR/bin/lpr"
	PATH="$BATS_TEST_TMPDIR/bin:$PATH"
	cp tests/cases/example/* "$BATS_TEST_TMPDIR/works"
	bad=0 n=0
	for page in tools/wy-*.1; do
		# intake.bats runs those of wy-intake on exports
		[ "$page" != tools/wy-intake.1 ] || continue
		unescaped <"$page" | awk '
			/^\.Bd -literal/ { literal = 1; shown = 0; next }
			/^\.Ed/ { literal = 0 }
			literal && /^\$ / { shown = 1 }
			literal && !shown && (/^wy-/ || more) { printf "%s%s", $0, /[|]$/ ? " " : "\n"; more = /[|]$/; next }
			/^\.Dl (\$ )?wy-/ { sub(/^\.Dl (\$ )?/, ""); print }' >"$BATS_TEST_TMPDIR/commands"
		while IFS= read -r command; do
			n=$((n + 1))
			got=0
			cp tests/cases/example/book.wy "$BATS_TEST_TMPDIR/works"
			(cd "$BATS_TEST_TMPDIR/works" && bash -o pipefail -c "$command") >"$BATS_TEST_TMPDIR/out" 2>"$BATS_TEST_TMPDIR/err" </dev/null || got=$?
			[ "$got" -le 1 ] && ! grep -qE 'cannot|not found|unknown option|usage' "$BATS_TEST_TMPDIR/err" ||
				{ echo "$page: $command: status $got: $(cat "$BATS_TEST_TMPDIR/err")"; bad=1; }
		done <"$BATS_TEST_TMPDIR/commands"
	done
	[ "$n" -ge 20 ] && [ "$bad" = 0 ]
}
