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
	done < <(sed -nE 's/^\.Xr ((wy-|withy|book|house|mapping)[a-z-]*) ([0-9]).*/\1 \3/p' tools/*.[17] spec/*.[57] | sort -u)
	[ "$n" -ge 12 ] && [ "$bad" = 0 ]
}
