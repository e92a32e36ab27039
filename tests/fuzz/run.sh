#!/bin/sh
# run.sh [SECONDS [SEED [MUTANTS]]] - every tool against mutants of the samples and the cases, for 60
# seconds, or as long as told, or until there were so many. No tool may crash, hang, end in another status
# than 0, 1 or 2, or leave half an output without its end mark; and what holds.sh says must hold. The
# status is 1 when something failed.
#
# Tools are those of $WITHY_BIN; else of the sanitized build, build/san or build-san, where there is one;
# else of build. Inputs that fail are kept in $FUZZ_KEEP, else in build/fuzz/failed. calls says how tools are called; what mutants are made of is listed here.
set -u
cd "$(dirname "$0")/../.." || exit 2
seconds=${1:-60} seed=${2:-1} mutants=${3:-0}
for bin in "${WITHY_BIN:-}" build/san/bin build-san/bin build/bin; do
	[ -z "$bin" ] || [ ! -x "$bin/wy-check" ] || break
done
folder=${FUZZ_KEEP:-build/fuzz/failed}
mkdir -p build/fuzz "$folder" || exit 2
unset WITHY_HOUSE
export bin LC_ALL=C WITHY_TODAY=2027-06-30

if [ -n "$(find tests/fuzz/fuzz.c -newer build/fuzz/fuzz 2>&1)" ]; then
	${CC:-cc} -std=c11 -D_XOPEN_SOURCE=700 -O2 -Wall -Wextra -o build/fuzz/fuzz tests/fuzz/fuzz.c || exit 2
fi

# A sanitizer takes terabytes of addresses: there its own limits hold.
megabytes=1000
if ! ASAN_OPTIONS= sh -c 'ulimit -v 1000000; "$bin/wy-check" --version' >/dev/null 2>&1; then megabytes=0; fi
ASAN_OPTIONS=detect_leaks=0:exitcode=99:max_allocation_size_mb=1000:hard_rss_limit_mb=2000
UBSAN_OPTIONS=exitcode=99:print_stacktrace=1
export ASAN_OPTIONS UBSAN_OPTIONS

lines_of() { # lines_of KIND FILE MATE: each line of a file is a source
	n=0
	while read -r line; do
		n=$((n + 1))
		printf '%s\n' "$line" >"$folder/$1.$n"
		echo "$1 $folder/$1.$n $3"
	done <"$2"
}

house_of() {
	for house in "${1%/*}/house.yaml" tests/cases/stock/random.yaml; do
		[ ! -f "$house" ] || break
	done
	case $1 in
	samples/*) house=samples/house.yaml ;;
	tests/cases/conformance/*) house=spec/house.example.yaml ;;
	*/time.wy) house=tests/cases/air/time.yaml ;;
	esac
	echo "$house"
}

{
	for book in tests/cases/*/*.wy tests/cases/conformance/*/*.wy samples/book/*.wy samples/mistakes.wy; do
		[ "$(wc -c <"$book")" -gt 65000 ] && [ "${book#samples}" = "$book" ] || echo "book $book $(house_of "$book")"
	done
	# the ones that say much, again
	for book in tests/cases/*/*.wy samples/book/*.wy samples/book/*.wy; do
		line="book $book $(house_of "$book")"
		[ "${book#tests/cases/intake}" != "$book" ] || printf '%s\n' "$line" "$line" "$line"
	done
	for house in tests/cases/*/*.yaml spec/house.example.yaml samples/house.yaml samples/house.yaml; do
		case $house in
		tests/cases/intake/*) ;;
		samples/*) echo "house $house samples/book/2026a.wy" ;;
		*) echo "house $house tests/cases/example/book.wy" ;;
		esac
	done
	for map in tests/cases/intake/*.yaml samples/exports/*.map.yaml; do
		for export in "${map%.yaml}.csv" "${map%.map.yaml}.csv" "${map%.map.yaml}.tsv"; do
			[ ! -f "$export" ] || printf 'map %s %s\nexport %s %s\n' "$map" "$export" "$export" "$map"
		done
	done
	for book in samples/book/2026b.wy tests/cases/air/book.wy tests/cases/moist/book.wy tests/cases/moist/views.wy tests/cases/example/book.wy; do
		house=$(house_of "$book") name=$(echo "$book" | tr / _)
		for kind in air moist; do
			"$bin/wy-$kind" -H "$house" --partial --by=place "$book" 2>/dev/null | head -n 300 >"$folder/$kind-state.$name"
			[ ! -s "$folder/$kind-state.$name" ] || echo "$kind-state $folder/$kind-state.$name $house"
		done
	done
	lines_of ask tests/fuzz/asks.txt samples/house.yaml
	lines_of pick tests/fuzz/picks.txt tests/cases/example/book.wy
	echo "table tests/fuzz/table.tsv samples/house.yaml"
} >"$folder/sources"

build/fuzz/fuzz "$seconds" "$seed" "$mutants" "$folder" "$megabytes" "$folder/sources" tests/fuzz/calls
