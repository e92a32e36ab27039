# README.md and DEVELOPERS.md agree with the tools and the files.

load lib/common

setup() {
	at_root
}

@test "readme: every command prints the lines below it (sh tests/lib/readme.sh README.md >x && mv x README.md)" {
	[ "$(grep -c '^\$ ' README.md)" -ge 15 ]
	sh tests/lib/readme.sh README.md >"$T/README.md"
	diff README.md "$T/README.md"
}

@test "readme: the first command is the demo, which prints the page of samples/month.txt and ends by naming one with pictures" {
	grep '^\$ ' README.md | head -n 1 | grep -q '^\$ sh samples/demo.sh'
	sh samples/demo.sh 2>/dev/null >"$T/out"
	tail -n "$(($(wc -l <samples/month.txt) + 2))" "$T/out" | head -n -2 | diff samples/month.txt -
	page=$(tail -n 1 "$T/out" | sed -n 's/^The same with pictures: //p')
	grep -q '<h1 dir="auto">December 2027</h1>' "$page"
	awk '/^```/ { on = 0 } on; /^\$ sh samples/ { on = 1 }' README.md >"$T/shown"
	[ "$(wc -l <"$T/shown")" -ge 10 ]
	head -n "$(wc -l <"$T/shown")" samples/month.txt | diff "$T/shown" -
	grep -q '^    sh samples/demo.sh$' README.md
	grep -q '^    sh tests/run.sh$' README.md
}

@test "readme: what Withy is comes first, and the job in short sentences" {
	sed -n 3p README.md | grep -q '^Withy is a plain-text log and command-line tools'
	# the first paragraph: its longest sentence and their mean, in words
	awk 'NR > 2 && /^$/ { exit } NR > 2' README.md | tr '\n' ' ' | sed 's/[.?] /&\n/g' |
		awk 'NF { n++; sum += NF; if (NF > most) most = NF } END { print n, sum / n, most; exit !(n >= 8 && sum / n <= 18 && most <= 25) }'
}

@test "readme: the table has every tool, once, and no other" {
	awk '/^## / { on = /tools/ } on && /^\| `wy-/ { gsub(/`/, ""); print $2 }' README.md | sort >"$T/listed"
	for source in tools/wy-*.c; do basename "${source%.*}"; done | sort | diff - "$T/listed"
}

@test "readme: no pipeline counts columns" {
	bad=0
	for file in README.md samples/README.md editors/README.md; do
		! grep -nE '\$[0-9]|\$NF|cut -f' "$file" || { echo "in $file"; bad=1; }
	done
	[ "$(grep -c -e '--columns=' README.md)" -ge 5 ]
	[ "$bad" = 0 ]
}

# The lines of the format as README shows them, with nothing added: a book of the sample house.
@test "readme: the format's lines are a book" {
	awk '/^## / { on = /lines of a book/ } on && /^    20/' README.md | sed 's/^    //' >"$T/b.wy"
	[ "$(wc -l <"$T/b.wy")" = 6 ]
	wy-check -H samples/house.yaml "$T/b.wy"
	wy-tidy --untidy -H samples/house.yaml "$T/b.wy"
	# every sort of value that the text below names can be read
	values=$(awk '/follows its number/, /quotation marks/' README.md | grep -o '`[^`]*`' | tr -d '`' | head -n 1)
	[ "$(echo $values | wc -w)" -ge 5 ]
	set -- $values
	cat >"$T/v.wy" <<-END
	2026-06-01 probe L061 mc=$1,-,30%+ wood=$2 meter=pin2
	2026-06-01 fell T061 girth=$3
	2026-06-01 finish B0001 mass=$4
	2026-06-01 cost T061 kind=haulage price=$5
	2026-06-01 order O-301 count=SH/1:1 mass=2lb8oz..2lb10oz to=velmor-cc
	END
	WITHY_HOUSE=samples/house.yaml wy-flat --as=jsonl "$T/v.wy" >"$T/out"
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
			grep -v '^_\|NAME\|^/usr\|^tools/wy-\*$\|^store/\|^yard/\|^build/bench.md$' | sort -u)
		while read -r name section; do
			n=$((n + 1))
			[ "$name" = wy-events ] || [ -f "spec/$name.$section" ] || [ -f "tools/$name.$section" ] || { echo "$file: $name($section)"; bad=1; }
		done < <(sed -nE 's/`([a-z-]+)\(([0-9])\)`/\n\1 \2\n/gp' "$file" | grep -E '^[a-z-]+ [0-9]$' | sort -u)
		while read -r tool; do
			[ "$tool" = wy-events ] || [ -f "tools/$tool.c" ] || [ -f "tools/$tool.sh" ] || { echo "$file: $tool"; bad=1; }
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
	# the build for systems without static archives
	grep -q '^    make SHARED=1$' README.md
	make -n -B build/bin/wy-pick | grep -q -e -static
	! make -n -B SHARED=1 build/bin/wy-pick | grep -e '-static' -e Bstatic || bad=1
	# and the help names targets that are there
	for target in $(make -s help | sed 's/;.*//' | awk '{ print $1 }'); do
		grep -qE "^([a-z ]* )?$target( [a-z ]*)?:" Makefile samples/samples.mk || { echo "$target"; bad=1; }
	done
	[ "$bad" = 0 ]
}

# The pattern to copy is built by the Makefile from the page itself; here its answer is counted again.
@test "readme: the filter in DEVELOPERS.md is the one that was built, and counts as grep does" {
	example=$(cd "$bin/.." && pwd)/example
	awk '/^```c$/ { on = 1; next } /^```$/ { on = 0 } on' DEVELOPERS.md >"$T/wy-events.c"
	diff "$T/wy-events.c" "$example/wy-events.c"
	lines=$(wc -l <"$T/wy-events.c")
	[ "$lines" -ge 80 ] && [ "$lines" -le 130 ]
	cd samples
	for option in '' --by-person; do
		# the day, then a time in some lines, then the event
		cat book/*.wy | grep -v '^#' | grep -E -e "${option:+ by=}" | sed -E 's/^(.{10}) +([0-9:]+([+-][0-9:]+)? +)?([a-z-]+) .*/\4 \1/' | sort |
			awk '$1 != event { if (n) print event, n, first, last; event = $1; n = 0; first = $2 } { n++; last = $2 } END { print event, n, first, last }' >"$T/want"
		"$example/wy-events" $option -b --no-header --columns=event,entries,first_day,last_day | tr '\t' ' ' | sort >"$T/got"
		[ "$(wc -l <"$T/want")" -ge 5 ] || fail "grep finds $(wc -l <"$T/want") events"
		diff "$T/want" "$T/got" >"$T/diff" || fail "$option: $(cat "$T/diff")"
	done
	status 0 "$example/wy-events" -b --as=text
	[ "$(head -n 1 "$T/out")" = "The book has $(cat book/*.wy | grep -vc '^#') entries of $(awk '/^events:/ { on = 1; next } /^[a-z]/ { on = 0 } on && /^  ["a-z-]+:/' ../spec/vocabulary.yaml house.yaml | wc -l) events." ] ||
		fail "$(head -n 1 "$T/out")"
	# the exit statuses that its help names
	: >"$T/empty.wy"
	status 1 "$example/wy-events" "$T/empty.wy"
	echo nonsense >"$T/bad.wy"
	status 1 "$example/wy-events" "$T/bad.wy"
	status 2 "$example/wy-events" --nonsense
	status 2 "$example/wy-events" "$T/none.wy"
	status 0 "$example/wy-events" --help
	report
}

@test "readme: no line is wider than 80 columns" {
	LC_ALL=C.UTF-8 awk 'length($0) > 80 { print FILENAME ":" FNR ": " $0; bad = 1 } END { exit bad }' README.md
}
