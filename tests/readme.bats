# README.md and DEVELOPERS.md say what is so.

load lib/common

setup() {
	at_root
}

@test "readme: every command prints what stands there (sh tests/lib/readme.sh README.md >x && mv x README.md)" {
	[ "$(grep -c '^\$ ' README.md)" -ge 15 ]
	sh tests/lib/readme.sh README.md >"$T/README.md"
	diff README.md "$T/README.md"
}

@test "readme: the first command is the demo, and ends with the month's page" {
	[ "$(grep '^\$ ' README.md | head -n 1)" = '$ sh samples/demo.sh' ]
	awk '/^```/ { on = 0 } on; /^\$ sh samples/ { on = 1 }' README.md | diff tests/cases/month/2027-12.txt -
}

# The lines of the format as README shows them, with nothing added: a book of the example's house.
@test "readme: the format's lines are a book" {
	awk '/^## / { on = /format/ } on && /^    20/' README.md | sed 's/^    //' >"$T/b.wy"
	[ "$(wc -l <"$T/b.wy")" -ge 9 ]
	wy-check -H tests/cases/example/house.yaml "$T/b.wy"
	wy-tidy --untidy -H tests/cases/example/house.yaml "$T/b.wy"
	# every sort of value that the text below names is read as one
	values=$(awk '/glued to its number/, /quotation marks/' README.md | grep -o '`[^`]*`' | tr -d '`' | head -n 1)
	[ "$(echo $values | wc -w)" -ge 5 ]
	set -- $values
	cat >"$T/v.wy" <<-END
	2026-06-01 probe L061 mc=$1,-,30%+ wood=$2 meter=pin2
	2026-06-01 fell T061 girth=$3
	2026-06-01 finish B0001 mass=$4
	2026-06-01 cost T061 kind=haulage price=$5
	2026-06-01 order O-1 count=SH/1:1 mass=2lb8oz..2lb10oz to=harbour-cc
	END
	WITHY_HOUSE=tests/cases/example/house.yaml wy-flat --as=jsonl "$T/v.wy" >"$T/out"
	[ "$(wc -l <"$T/out")" = 5 ]
}

@test "readme: files, folders and pages that are named exist" {
	bad=0 n=0
	for file in README.md DEVELOPERS.md samples/README.md; do
		folder=$(dirname "$file")
		while read -r name; do
			n=$((n + 1))
			set -- $folder/$name
			[ -e "$1" ] || { set -- $name samples/$name samples/truth/$name tools/$name tools/lib/*/$name build/$name build/bin/$name; for x; do [ ! -e "$x" ] || continue 2; done
				echo "$file: $name"; bad=1; }
		done < <(grep -oE '`[A-Za-z0-9_./*-]+`' "$file" | tr -d '`' | grep -E '/$|[a-z_*-]/[a-z_.*A-Z-]|\.(c|h|md|sh|yaml|wy|tsv|csv|1|5|7|abnf)$' |
			grep -v '^_\|NAME\|^/usr\|^tools/wy-\*$\|^store/\|^yard/' | sort -u)
		while read -r name section; do
			n=$((n + 1))
			[ -f "spec/$name.$section" ] || [ -f "tools/$name.$section" ] || { echo "$file: $name($section)"; bad=1; }
		done < <(grep -oE '`man [0-9] [a-z-]+' "$file" | awk '{ print $3, $2 }')
		while read -r tool; do
			[ -f "tools/$tool.c" ] || [ -f "tools/$tool.sh" ] || { echo "$file: $tool"; bad=1; }
		done < <(grep -oE '\bwy-[a-z]+' "$file" | sort -u)
	done
	[ "$n" -ge 25 ] || { echo "only $n names found"; bad=1; }
	# the folders and files of the plan
	for name in book.5 vocabulary.yaml rules.yaml house-keys.yaml grammar.abnf deviations.md; do
		grep -q "$name" DEVELOPERS.md && [ -f "spec/$name" ] || { echo "spec/$name"; bad=1; }
	done
	for name in $(awk '/^    [a-z]+\// { print $1 }' DEVELOPERS.md); do
		[ -d "$name" ] || { echo "DEVELOPERS.md: $name"; bad=1; }
	done
	for name in $(awk '/^    tests\//, /^    samples\//' DEVELOPERS.md | grep -oE '[a-z]+/ ' | tr -d / | sort -u); do
		[ -d "tests/$name" ] || [ -d "$name" ] || { echo "DEVELOPERS.md: tests/$name"; bad=1; }
	done
	[ "$bad" = 0 ]
}

@test "readme: the targets of make that are named are there" {
	bad=0 n=0
	for target in $(grep -ohE '(`|    )make [a-z]+' README.md DEVELOPERS.md samples/README.md | sed 's/.*make //' | sort -u); do
		n=$((n + 1))
		make -n "$target" >/dev/null 2>"$T/err" || { echo "make $target: $(head -n 1 "$T/err")"; bad=1; }
	done
	[ "$n" -ge 4 ] && [ "$bad" = 0 ]
	# and the help names targets that are there
	for target in $(make -s help | sed 's/;.*//' | awk '{ print $1 }'); do
		grep -qE "^([a-z ]* )?$target( [a-z ]*)?:" Makefile samples/samples.mk || { echo "$target"; bad=1; }
	done
	[ "$bad" = 0 ]
}
