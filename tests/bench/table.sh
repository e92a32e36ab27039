#!/bin/sh
# table.sh - every tool over generated books of growing size, beside other programs that answer the same question,
# as a table in build/bench.md. Figures are medians of one run on one machine. What another program answers is compared
# first; one that says something else ends the run.
#
# BENCH_LINES  the sizes (100000 1000000 10000000); 100000000 is for who asks for it
# BENCH_LIMIT  seconds (120): what would take longer, by the size before, is left out and shown as such
#
# What is quick is measured several times, for noise is large beside it; what takes seconds is measured once.
set -eu
cd "$(dirname "$0")/../.."
. tests/bench/common.sh
sizes=${BENCH_LINES:-100000 1000000 10000000}
limit=${BENCH_LIMIT:-120}
others=tests/bench/others
rows=$dir/rows.tsv
house=$dir/house.yaml
small=$(echo "$sizes" | cut -d ' ' -f 1)
: >"$rows"
: >"$dir/slow"
make_house >"$house"
printf 'works: Plain\n' >"$dir/plain.yaml" # no meters: readings count as read
counter=none
if command -v perf >/dev/null && perf stat -x, -e instructions:u true 2>&1 | grep -q '^[0-9]'; then
	counter=perf
elif command -v valgrind >/dev/null; then
	counter=valgrind
fi

# books LINES: $mixed and $air, made once and kept
books() {
	mixed=$dir/mixed-$1.wy air=$dir/air-$1.wy
	[ -s "$mixed" ] || { awk -v lines="$1" -f tests/bench/book.awk | LC_ALL=C sort -s -k 1,1 | head -n "$1" >"$mixed.new" && mv "$mixed.new" "$mixed"; }
	[ "$(wc -l 2>/dev/null <"$air" || echo 0)" = "$1" ] || { awk -v lines="$1" -f tests/bench/air.awk >"$air.new" && mv "$air.new" "$air"; }
	WITHY_TODAY=$(tail -n 1 "$mixed" | cut -c 1-10)
	export WITHY_TODAY
}

# instructions COMMAND...: how many, of the user's side
instructions() {
	case $counter in
	perf) perf stat -x, -o "$dir/counted" -e instructions:u "$@" >/dev/null 2>&1 && sed -n 's/^\([0-9][0-9]*\),.*/\1/p' "$dir/counted" ;;
	valgrind) valgrind --tool=cachegrind --cache-sim=no --cachegrind-out-file=/dev/null "$@" 2>&1 >/dev/null | sed -n 's/.*I *refs: *//p' | tr -d , ;;
	esac
}

# runs_for SECONDS: how often to measure what takes so long; without a word, what is not known
runs_for() {
	echo "${1:-1}" | awk '{ print $1 < 0.5 ? 5 : $1 < 2 ? 3 : 1 }'
}

# expected QUESTION NAME LINES: how long it will take, by the last size that it was measured at; nothing before the first
expected() {
	awk -F'\t' -v q="$1" -v name="$2" -v lines="$3" '$1 == q && $3 == name && $4 != "-" { s = $4 * lines / $2 } END { if (s != "") print s }' "$rows"
}

# measure QUESTION LINES BOOK NAME COMMAND...: a row, unless it would take too long; $count is `no` for what is not counted
measure() {
	question=$1 lines=$2 book=$3 name=$4
	shift 4
	if grep -qxF "$question $name" "$dir/slow"; then
		printf '%s\t%s\t%s\t-\t-\t-\t-\t-\n' "$question" "$lines" "$name" >>"$rows"
		return
	fi
	took=$("$dir/best" "$(runs_for "$(expected "$question" "$name" "$lines")")" "$@") || { echo "table.sh: $name over $book ends badly" >&2; exit 1; }
	ran=-
	[ "$lines" != "$small" ] || [ "${count:-yes}" = no ] || ran=$(instructions "$@")
	echo "$took" | awk -v q="$question" -v lines="$lines" -v name="$name" -v bytes="$(wc -c <"$book")" -v ran="${ran:--}" -v OFS='\t' '{
		print q, lines, name, $4, bytes / $4 / 1e6, $2 / 1024, ran == "-" ? "-" : ran / lines, $3 }' >>"$rows"
	tail -n 1 "$rows" >&2
	echo "$took" | awk -v limit="$limit" '{ exit !($4 * 10 > limit) }' && echo "$question $name" >>"$dir/slow" || :
}

# same_rows WANT GOT: sorted rows; numbers may differ in the last places of a sum in floating point
same_rows() {
	awk -F'\t' '
		function far(x, y) { return x - y > 1e-6 || y - x > 1e-6 }
		NR == FNR { want[NR] = $0; n = NR; next }
		split(want[FNR], w, "\t") != NF { print "cells: " $0; bad = 1; next }
		{ for (i = 1; i <= NF; i++) if ($i ~ /^-?[0-9.]+$/ && w[i] ~ /^-?[0-9.]+$/ ? far($i, w[i]) : $i != w[i]) { print $0 " is not " want[FNR]; bad = 1 } }
		END { exit bad || n == 0 || NR != 2 * n }' "$1" "$2" >"$dir/differ" && return
	echo "table.sh: $3: another answer: $(head -n 3 "$dir/differ")" >&2
	exit 1
}

# What Withy says, in the columns of the others.
withy() {
	case $1 in
	count) "$bin/wy-pick" -n event=probe "$2" ;;
	air) "$bin/wy-air" -H "$dir/plain.yaml" --no-header --columns=place,month,n,temp_mean_c,rh_mean_pct "$2" ;;
	moist) "$bin/wy-moist" -H "$dir/plain.yaml" --all --by=charge --no-header --columns=charge,n_readings,mc_mean_pct,driest_pct,wettest_pct "$2" | awk -F'\t' '$1 != ""' ;;
	grade) "$bin/wy-grade" -H "$house" --by=type --no-header --columns=type,grade,count "$2" ;;
	esac | LC_ALL=C sort
}

# others QUESTION LINES BOOK: the other programs, each compared on the smallest book
others() {
	[ "$2" != "$small" ] || withy "$1" "$3" >"$dir/want"
	for program in mawk gawk python3 duckdb clickhouse; do
		count=yes
		case $program in
		*awk) set -- "$1" "$2" "$3" $program -f "$others/$1.awk" "$3" ;;
		python3) set -- "$1" "$2" "$3" python3 "$others/ask.py" "$1" "$3" ;;
		*)
			count=no
			[ -d "tests/oracles/node_modules/@duckdb" ] || continue
			sed "s,BOOK,$PWD/$3," "$others/$1.$program.sql" >"$dir/$1.$program.sql"
			set -- "$1" "$2" "$3" sh -c "node tests/oracles/engine.js $program :memory: <$dir/$1.$program.sql"
			;;
		esac
		command -v "$4" >/dev/null || continue
		question=$1 lines=$2 book=$3
		shift 3
		if [ "$lines" = "$small" ]; then
			"$@" | LC_ALL=C sort >"$dir/got"
			same_rows "$dir/want" "$dir/got" "$program, $question"
		fi
		measure "$question" "$lines" "$book" "$program" "$@"
		set -- "$question" "$lines" "$book"
		count=yes
	done
}

# The tools that have an answer over the mixed book. A name, a tab, a command; HOUSE and BOOK are put in.
tools() {
	month=$(date -d "$WITHY_TODAY -1 month" +%Y-%m)
	cat <<-END
	wy-check	wy-check -q -H HOUSE BOOK
	wy-tidy	wy-tidy -H HOUSE BOOK
	wy-flat air	wy-flat air -H HOUSE BOOK
	wy-stock	wy-stock -H HOUSE BOOK
	wy-yield	wy-yield -H HOUSE BOOK
	wy-cost --charges	wy-cost --charges -H HOUSE BOOK
	wy-trace L000001	wy-trace -H HOUSE L000001 BOOK
	wy-moist	wy-moist -H HOUSE BOOK
	wy-due	wy-due -H HOUSE BOOK
	wy-plan	wy-plan -H HOUSE BOOK
	wy-month	wy-month --month $month -H HOUSE BOOK
	END
}

all_tools() { # all_tools LINES
	tools >"$dir/tools"
	while IFS='	' read -r name call; do
		# shellcheck disable=SC2086
		measure tools "$1" "$mixed" "$name" "$bin/"$(echo "$call" | sed "s,HOUSE,$house,; s,BOOK,$mixed,")
	done <"$dir/tools"
}

for lines in $sizes; do
	books "$lines"
	measure reading "$lines" "$mixed" 'wc -l' wc -l "$mixed"
	measure reading "$lines" "$mixed" md5sum md5sum "$mixed"
	measure reading "$lines" "$mixed" "mawk '{ n += NF }'" mawk '{ n += NF } END { print n }' "$mixed"
	measure reading "$lines" "$mixed" 'wy-pick -n -w 1' "$bin/wy-pick" -n -w 1 "$mixed"
	count=no measure reading "$lines" "$mixed" 'wy-pick -n' "$bin/wy-pick" -n "$mixed"
	measure count "$lines" "$mixed" 'wy-pick -n event=probe' "$bin/wy-pick" -n event=probe "$mixed"
	others count "$lines" "$mixed"
	measure air "$lines" "$air" 'wc -l' wc -l "$air"
	measure air "$lines" "$air" 'wy-air --of=temp,rh -w 1' "$bin/wy-air" -H "$dir/plain.yaml" --of=temp,rh -w 1 "$air"
	count=no measure air "$lines" "$air" 'wy-air --of=temp,rh' "$bin/wy-air" -H "$dir/plain.yaml" --of=temp,rh "$air"
	others air "$lines" "$air"
	measure moist "$lines" "$mixed" 'wy-moist --all --by=charge -w 1' "$bin/wy-moist" -H "$dir/plain.yaml" --all --by=charge -w 1 "$mixed"
	count=no measure moist "$lines" "$mixed" 'wy-moist --all --by=charge' "$bin/wy-moist" -H "$dir/plain.yaml" --all --by=charge "$mixed"
	others moist "$lines" "$mixed"
	measure grade "$lines" "$mixed" 'wy-grade --by=type' "$bin/wy-grade" -H "$house" --by=type "$mixed"
	others grade "$lines" "$mixed"
	all_tools "$lines"
done

# ---- both cores: the second size, or the only one
cores() {
	lines=$(echo "$sizes" | cut -d ' ' -f 2)
	books "$lines"
	tools >"$dir/tools"
	printf 'wy-air\twy-air -H HOUSE AIR\nwy-grade\twy-grade -H HOUSE BOOK\nwy-pick\twy-pick -n event=probe BOOK\n' >>"$dir/tools"
	while IFS='	' read -r name call; do
		grep -qxF "tools $name" "$dir/slow" && continue
		runs=$(runs_for "$(expected tools "$name" "$lines")")
		call="$bin/$(echo "$call" | sed "s,HOUSE,$house,; s,BOOK,$mixed,; s,AIR,$air,")"
		# shellcheck disable=SC2086
		one=$("$dir/best" "$runs" taskset -c 0 $call)
		# shellcheck disable=SC2086
		two=$("$dir/best" "$runs" taskset -c 0,1 $call)
		echo "$one $two" | awk -v name="$name" '{ printf "| `%s` | %.3f | %.3f | %.2f |\n", name, $4, $8, $4 / $8 }'
	done <"$dir/tools"
}

# ---- to start, and to answer over one line
starts() {
	printf '2026-06-09 air north temp=20C rh=60%%\n' >"$dir/one.wy"
	mawk=$("$dir/best" 40 mawk 'BEGIN{}' | cut -d ' ' -f 4)
	echo "$mawk" | awk '{ printf "| `mawk %cBEGIN{}%c` | %.2f | 1 |\n", 39, 39, $1 * 1000 }'
	for call in 'wy-pick event=air' wy-check wy-air wy-tidy 'wy-flat air'; do
		# shellcheck disable=SC2086
		took=$("$dir/best" 40 "$bin/"$call -H samples/house.yaml "$dir/one.wy" 2>/dev/null | cut -d ' ' -f 4)
		echo "$took $mawk" | awk -v name="$call" '{ printf "| `%s` | %.2f | %.2f |\n", name, $1 * 1000, $1 / $2 }'
	done
}

# ---- what it costs to go over to a column engine: loading once, and a question afterwards
change_over() {
	[ -d tests/oracles/node_modules/@duckdb ] || return 0
	for lines in $sizes; do
		[ "$lines" -le 10000000 ] || continue
		books "$lines"
		rm -rf "$dir/load"
		mkdir "$dir/load"
		cat >"$dir/load/load" <<-END
		"$bin/wy-flat" air --entry --locate --as=csv "$air" >"$dir/load/air.csv"
		{ "$bin/wy-flat" --schema air
		  echo "COPY air FROM '$dir/load/air.csv' (HEADER, DELIMITER ',', QUOTE '\"', ESCAPE '\"');"
		  echo "COPY air TO '$dir/load/air.parquet' (FORMAT parquet);"; } | node tests/oracles/engine.js duckdb "$dir/load/db"
		END
		echo "SELECT subject, SUBSTR(CAST(date AS CHAR(10)), 1, 7) AS month, COUNT(*), AVG(temp_c), AVG(rh_pct) FROM '$dir/load/air.parquet' GROUP BY 1, 2;" >"$dir/load/ask.sql"
		load=$("$dir/best" 1 sh -e "$dir/load/load" | cut -d ' ' -f 4)
		ask=$("$dir/best" 3 sh -c "node tests/oracles/engine.js duckdb :memory: <$dir/load/ask.sql" | cut -d ' ' -f 4)
		node tests/oracles/engine.js duckdb :memory: <"$dir/load/ask.sql" | LC_ALL=C sort >"$dir/got"
		withy air "$air" >"$dir/want"
		same_rows "$dir/want" "$dir/got" 'DuckDB over Parquet'
		filter=$("$dir/best" 3 "$bin/wy-air" -H "$dir/plain.yaml" --of=temp,rh "$air" | cut -d ' ' -f 4)
		echo "$load $ask $filter" | awk -v lines="$lines" '{ printf "| %d | %.2f | %.3f | %.3f |\n", lines, $1, $2, $3 }'
	done
}

# ---- the table
machine() {
	echo "# Withy's speed, $(date -u +%Y-%m-%d)"
	echo
	echo "$(sed -n 's/^model name[^:]*: *//p' /proc/cpuinfo | head -n 1), $(nproc) cores, $(awk '/^MemTotal/ { printf "%.0f GB", $2 / 1e6 }' /proc/meminfo); $(uname -sr)."
	echo "Instructions: $counter, on the book of $small lines. Times are medians of one run, and compare within it only."
	echo "\`over\`: left out, because it would take more than $limit s. The slope is that of log time over log lines."
}

# question TITLE NAME: its rows, a line a program, and the slope of its growth
question() {
	printf '\n## %s\n\n' "$1"
	awk -F'\t' -v q="$2" '
		$1 != q { next }
		!($3 in seen) { seen[$3] = ++n; name[n] = $3 }
		!($2 in size) { size[$2] = ++k; lines[k] = $2 }
		{ s[$3, $2] = $4; cpu[$3, $2] = $8; rate[$3, $2] = $5; mb[$3, $2] = $6; if ($7 != "-") ran[$3] = $7 }
		END {
			printf "| program | instructions/line |"
			for (j = 1; j <= k; j++) printf " %d lines, s | cpu s | MB/s | peak MB |", lines[j]
			printf " slope |\n|---|--:|"
			for (j = 1; j <= k; j++) printf "--:|--:|--:|--:|"
			print "--:|"
			for (i = 1; i <= n; i++) {
				p = name[i]
				printf "| `%s` | %s |", p, p in ran ? sprintf("%.0f", ran[p]) : "-"
				m = sx = sy = sxx = sxy = 0
				for (j = 1; j <= k; j++) {
					t = s[p, lines[j]]
					if (t == "" || t == "-") { printf " over | - | - | - |"; continue }
					printf " %.3f | %.3f | %.0f | %.0f |", t, cpu[p, lines[j]], rate[p, lines[j]], mb[p, lines[j]]
					if (t > 0) { x = log(lines[j]); y = log(t); m++; sx += x; sy += y; sxx += x * x; sxy += x * y }
				}
				if (m > 1) printf " %.2f |\n", (m * sxy - sx * sy) / (m * sxx - sx * sx); else print " - |"
			}
		}' "$rows"
}

{
	machine
	question 'Reading alone, of the mixed book' reading
	question 'How many probe entries' count
	question 'Climate: means by place and month, of the book of air' air
	question 'Moisture: readings of each charge' moist
	question 'Grades of blades, by type' grade
	question 'The other tools, over the mixed book' tools
	printf '\n## One core and two, %s lines\n\n| tool | 1 core, s | 2 cores, s | times as fast |\n|---|--:|--:|--:|\n' "$(echo "$sizes" | cut -d ' ' -f 2)"
	cores
	printf '\n## To start, with the sample works'"'"' house file\n\n| program | ms | times mawk |\n|---|--:|--:|\n'
	starts
	printf '\n## Going over to a column engine: climate\n\n| lines | load into DuckDB and Parquet, once, s | DuckDB over Parquet, s | `wy-air`, s |\n|--:|--:|--:|--:|\n'
	change_over
} >build/bench.md.new
mv build/bench.md.new build/bench.md
cat build/bench.md
