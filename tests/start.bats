# wy-start, the house file that it writes, and the tutorial that begins with it.

load lib/common

setup() {
	at_root
	cd "$T" || return
	root=$BATS_TEST_DIRNAME/..
}

files='.gitattributes README.md book.wy house.yaml'

@test "start: four files in a new directory, in an empty one, and in this one" {
	mkdir empty here
	status 0 wy-start new
	[ "$(tr '\n' ' ' <out)" = 'new/README.md new/book.wy new/.gitattributes new/house.yaml ' ] || fail "$(cat out)"
	status 0 wy-start empty/
	(cd here && wy-start . >/dev/null) || fail 'here'
	for dir in new empty here; do
		[ "$(ls -A $dir | LC_ALL=C sort | tr '\n' ' ')" = "$files " ] || fail "$dir: $(ls -A $dir)"
		(cd $dir && wy-check -b >/dev/null 2>&1) || fail "$dir: the book is not clean"
	done
	report
}

@test "start: the house file is the smallest one with a question above each answer" {
	wy-start new >/dev/null
	grep -v '^#' new/house.yaml | grep -v '^$' | cmp - "$root/spec/house.minimal.yaml"
	[ "$(wc -l <"$root/spec/house.minimal.yaml")" -lt 20 ]
	[ "$(grep -c '^#.*?' new/house.yaml)" -ge 9 ]
	# every word of it is one that its own checker takes
	status 0 wy-check -H "$root/spec/house.minimal.yaml" </dev/null
	report
}

@test "start: name, clock and currency are kept to the letter" {
	name='Ngā Rākau "no. 1" & sons: #x \ '"it's"
	status 0 wy-start --works "$name" --clock +05:45 --currency JPY new
	printf '2026-01-02 buy L1 from=wood form=cleft count=SH:2 into=yard price=900JPY\n' >>new/book.wy
	(cd new && wy-check -b >../out 2>../err) || fail "$(cat out err)"
	sed -n 's/^works: //p' new/house.yaml | jq -r . >got
	[ "$(cat got)" = "$name" ] || fail "$(cat got)"
	grep -q '^clock: "+05:45"$' new/house.yaml || fail 'clock'
	report
}

@test "start: what is there is never touched, and nothing is left of a failure" {
	for file in $files; do
		mkdir dir
		echo mine >dir/$file
		status 1 wy-start dir
		[ "$(cat dir/$file)" = mine ] && [ "$(ls -A dir)" = "$file" ] || fail "$file: $(ls -A dir)"
		grep -q "dir/$file is there already" err || fail "$file: $(cat err)"
		rm -r dir
	done
	mkdir dir
	ln -s nowhere dir/book.wy
	status 1 wy-start dir
	[ ! -e dir/nowhere ] || fail 'a link was followed'
	echo file >plain
	status 2 wy-start plain
	status 2 wy-start no/such
	[ ! -e no ] || fail 'no was made'
	# a full disk: a limit on the size of files, which the house file passes
	(ulimit -f 1; wy-start full >/dev/null 2>err) && fail 'no failure on a full disk'
	[ ! -e full ] || fail "left: $(ls -A full)"
	report
}

@test "start: wrong use says what to write" {
	for arguments in '' 'a b' '--currency=GBX x' '--currency= x' '--clock=Pacific/Aukland x' '--clock=12:00 x' '--works'; do
		# shellcheck disable=SC2086
		status 2 wy-start $arguments
		grep -q . err || fail "$arguments: no message"
		[ ! -e x ] || { fail "$arguments: x was made"; rm -r x; }
	done
	status 2 wy-start ''
	for name in "$(printf 'a\377')" "$(printf 'a\001b')" "$(printf 'a\nb')" "$(printf 'a\177')"; do
		status 2 wy-start --works "$name" x
		[ ! -e x ] || { fail "a name with a control character: x was made"; rm -r x; }
	done
	report
}

# The blocks of the page in their order: entries go into the book, commands must print what is below them.
@test "start: the tutorial's commands print what the page says" {
	awk -v dir="$T" '
		/^\.Bd -literal/ { n++; literal = 1; shown = 0; printf "" >(dir "/" n ".block"); next }
		/^\.Ed/ { literal = 0 }
		literal { print >(dir "/" n ".block") }
		END { print n + 0 >(dir "/count") }' "$root/spec/withy-tutorial.7"
	[ "$(cat count)" -ge 10 ]
	where=$T commands=0 entries=0
	for i in $(seq "$(cat count)"); do
		if ! grep -q '^\$ ' "$T/$i.block"; then
			cat "$T/$i.block" >>"$T/works/book.wy"
			entries=$((entries + $(wc -l <"$T/$i.block")))
			continue
		fi
		: >"$T/got"
		while IFS= read -r line; do
			case $line in
			'$ cd '*) where=$where/${line#'$ cd '}; echo "$line" >>"$T/got" ;;
			'$ '*)
				commands=$((commands + 1))
				echo "$line" >>"$T/got"
				(cd "$where" && bash -o pipefail -c "${line#'$ '}" >>"$T/got" 2>&1) || true
				;;
			esac
		done <"$T/$i.block"
		diff "$T/$i.block" "$T/got" >"$T/diff" || fail "block $i: $(cat "$T/diff")"
	done
	[ "$commands" -ge 8 ] && [ "$entries" -ge 18 ] || fail "$commands commands, $entries entries"
	# the month's page is whole
	(cd "$where" && wy-month -b --month 2026-11) >"$T/page" || fail 'wy-month'
	grep -q '^  blade   *SH   *10   *80   *50   *14' "$T/page" || fail "$(cat "$T/page")"
	report
}

@test "start: control characters in the works' name are an error of the house file, and paths are shown, not acted on" {
	mkdir "$T/x" && cd "$T/x" || return
	wy-start --works Bats ok >/dev/null
	sed -i 's/^works: .*/works: "Bats\\x1b[31m\\u0007"/' ok/house.yaml
	status 2 wy-check -H ok/house.yaml ok/book.wy
	grep -q "ok/house.yaml:[0-9]*:[0-9]*: error: the text of 'works' has a control character; leave it out" "$T/err" || fail "$(cat "$T/err" "$T/out")"
	status 0 wy-start "$(printf 'od\033d')"
	grep -q '^od\\x1bd/house.yaml$' "$T/out" || fail "$(cat -v "$T/out")"
	report
}
