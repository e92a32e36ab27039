# common.sh - what the measures share; each reads it from the project's root, and sets `runs`.

dir=build/bench
bin=${WITHY_BIN:-build/bin}
mkdir -p "$dir"
${CC:-cc} -O2 -o "$dir/best" tests/bench/best.c

# best NAME COMMAND...: the best time of $runs, the processor's time and the most memory; also as a ratio to the first
# that was measured since $first was emptied, and, where $bytes says how large the input is, in MB a second.
best() {
	name=$1
	shift
	measured=$("$dir/best" "$runs" "$@")
	: "${first:=${measured%% *}}"
	echo "$measured" | awk -v name="$name" -v first="$first" -v bytes="${bytes:-0}" '{
		s = $1
		printf "%-34s %8.4f s %7.2f x wc -l %8.4f s cpu %7.1f MB", name, s, s / first, $3, $2 / 1024
		if (bytes > 0)
			printf " %6.0f MB/s", bytes / s / 1e6
		print "" }'
}

# The house file of the works that book.awk makes a book of.
make_house() {
	cat <<-'END'
	works: Bench
	currency: NZD
	places:
	  yard/b1: {kind: yard}
	  yard/b3: {kind: yard}
	  bench: {kind: bench}
	  store/r1: {kind: store}
	  shop: {kind: shop}
	END
	awk 'BEGIN { for (i = 0; i < 400; i++) print "  n" i ": {kind: kiln, capacity: 400}" }'
	cat <<-'END'
	types: {SH: {form: blade}, S6: {form: blade}}
	grades:
	  - {scheme: "2000", from: 2000-01-01, list: ["1", "2", "3", "4"]}
	people: {mk: M, jo: J}
	parties: {hale: Hale farm, lund-bats: Lund Bats}
	causes: {cull: [knot, split, honeycomb]}
	meters:
	  pin2: {kind: pin, trust: 5..30%, reference: 20C, per10C: 0.9}
	  hyg1: {kind: hygrometer}
	END
}

# decade_book WORKS: the book of decade.awk, made once and kept, and its house file: $dir/decade-WORKS.wy and .yaml.
decade_book() {
	awk -v works="$1" '
		/^[a-z]/ { skip = /^(book|closed|ids):/ }
		!skip
		/^places:/ {
			for (i = 0; i < works; i++)
				print "  north" i ": {kind: kiln, capacity: 900}\n  south" i ": {kind: kiln, capacity: 1600}"
		}' samples/house.yaml >"$dir/decade-$1.yaml"
	[ -s "$dir/decade-$1.wy" ] ||
		awk -v works="$1" -f tests/bench/decade.awk samples/book/*.wy samples/book/*.wy | LC_ALL=C sort -s -k 1,1 >"$dir/decade-$1.wy"
}
