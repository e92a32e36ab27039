# once: the tables of sanitized tools are the same
# needs: npm, sqlite3
# The hand-off to column engines: the recipes of withy-large(7) are run as they are on the page, in SQLite and
# in DuckDB and ClickHouse (their packages for Node, which hold the engines), and their answers are those of the filters.

load lib/common

setup() {
	at_root
	R=$PWD
	mkdir "$T/work"
	# What the page calls the engines' own commands.
	printf '#!/bin/sh\nexec node "%s/tests/oracles/engine.js" duckdb "$1"\n' "$R" >"$T/duckdb"
	printf '#!/bin/sh\nexec node "%s/tests/oracles/engine.js" clickhouse "$3"\n' "$R" >"$T/clickhouse"
	chmod +x "$T/duckdb" "$T/clickhouse"
	PATH="$T:$PATH"
}

# recipe WORDS: the block of the page that contains them
recipe() {
	awk -v words="$1" '
		/^\.Bd / { on = 1; block = ""; next }
		/^\.Ed/ { if (on && index(block, words)) { printf "%s", block; found++ } on = 0 }
		on { gsub(/\\e/, "\\"); block = block $0 "\n" }
		END { exit found != 1 }' "$R/spec/withy-large.7" || fail "not one recipe with: $1"
}

# The blocks of the page as the files that it names.
write_files() {
	recipe 'COPY air FROM' >load.sql
	recipe 'SET data_type' >tables.sql
	recipe 'INSERT INTO air' >fill.sql
	recipe 'SELECT CASE' >grades.sql
	recipe 'FROM air' >air.sql
	recipe "field = 'mc'" >moist.sql
}

# same_rows A B: the same rows; numbers may differ in the last places of a mean in floating point
same_rows() {
	awk -F'\t' '
		function far(x, y) { return x - y > 1e-9 || y - x > 1e-9 }
		NR == FNR { a[NR] = $0; n = NR; next }
		{
			m = split(a[FNR], want, "\t")
			if (m != NF) { print "line " FNR ": " NF " cells, not " m; bad = 1; next }
			for (i = 1; i <= NF; i++)
				if ($i ~ /^-?[0-9.]+(e-?[0-9]+)?$/ && want[i] ~ /^-?[0-9.]+(e-?[0-9]+)?$/ ? far($i, want[i]) : $i "" != want[i] "") {
					print "line " FNR ": " $i ", not " want[i]; bad = 1
				}
		}
		END { exit bad || FNR != n || NR != 2 * n || n == 0 }' "$1" "$2"
}

# What the filters say, in the columns and the order of the recipes.
ask_filters() {
	wy-grade --no-header --columns=grade,count book.wy 2>/dev/null | awk -F'\t' -v OFS='\t' '{ n[$1] += $2 } END { for (g in n) print g, n[g] }' |
		LC_ALL=C sort >grades.want
	wy-air --no-header --columns=place,month,temp_n,temp_mean_c,rh_n,rh_mean_pct book.wy 2>/dev/null | LC_ALL=C sort >air.want
	wy-moist --no-header --all --by=charge --columns=charge,n_readings,mc_mean_pct,driest_pct,wettest_pct book.wy 2>/dev/null |
		awk -F'\t' '$1 != ""' | LC_ALL=C sort >moist.want
}

# ask_engine COMMAND...: the three questions, compared with the filters
ask_engine() {
	for question in $questions; do
		"$@" <$question.sql | LC_ALL=C sort >$question.got || fail "$1: $question"
		same_rows $question.want $question.got >differ || fail "$1 of $book: $question: $(head -n 3 differ)"
	done
}

ask_all() {
	bash -euo pipefail -c "$(recipe 'sqlite3 book.db')" >sqlite.got || fail 'sqlite3: the recipe'
	ask_engine sqlite3 -separator "$(printf '\t')" book.db
	bash -euo pipefail -c "$(recipe 'for event in')" || fail 'CSV: the recipe'
	bash -euo pipefail -c "$(recipe 'duckdb book.duckdb')" >duckdb.got || fail 'DuckDB: the recipe'
	cmp -s duckdb.got <(duckdb book.duckdb <grades.sql) && [ -s duckdb.got ] || fail 'DuckDB: no answer'
	ask_engine duckdb book.duckdb
	bash -euo pipefail -c "$(recipe 'clickhouse local')" >clickhouse.got || fail 'ClickHouse: the recipe'
	ask_engine clickhouse local --path book.clickhouse
	# and from the Parquet files, in the engine that has not written them
	sed -e "s/FROM air\$/FROM file('air.parquet')/" air.sql >air.parquet.sql
	sed -e "s/FROM items/FROM file('items.parquet')/" grades.sql >grades.parquet.sql
	for question in air grades; do
		clickhouse local --path other.clickhouse <$question.parquet.sql | LC_ALL=C sort >$question.got
		same_rows $question.want $question.got >differ || fail "Parquet of $book: $question: $(head -n 3 differ)"
	done
}

@test "engines: SQLite, DuckDB and ClickHouse say of the sample works what the filters say" {
	case $bin in */san/*) return 0 ;; esac # the plain run has it; the engines are not Withy's
	cd "$T/work"
	# a wet bulb's humidity is calculated by the filter alone
	cat "$R"/samples/book/*.wy | grep -v ' wetbulb=' >book.wy
	write_files
	export WITHY_HOUSE=$R/samples/house.yaml
	book=samples questions='grades air'
	ask_filters
	[ "$(wc -l <air.want)" -gt 60 ] && [ "$(wc -l <grades.want)" = 5 ] || fail 'the filters say too little'
	ask_all
	report
}

@test "engines: the same of a generated book, with its moisture, and not of another book" {
	case $bin in */san/*) return 0 ;; esac
	cd "$T/work"
	awk -v lines=4000 -f "$R/tests/bench/book.awk" | LC_ALL=C sort -s -k 1,1 >book.wy
	write_files
	unset WITHY_HOUSE
	book=generated questions='grades air moist'
	ask_filters
	[ "$(wc -l <moist.want)" -gt 20 ] || fail 'the filters say too little'
	ask_all
	# the comparison can fail: one reading and one count more
	{ cat book.wy; echo '2000-04-01 air n1 temp=40C rh=40%'; echo '2000-04-01 grade L000001 at=bench type=SH count=1:1'; } >more.wy
	{ wy-flat --schema; wy-flat --as=sql more.wy; } | sqlite3 more.db
	for question in air grades; do
		sqlite3 -separator "$(printf '\t')" more.db <$question.sql | LC_ALL=C sort >$question.got
		! same_rows $question.want $question.got >differ || fail "$question: another book compares as the same"
	done
	report
}

@test "engines: a table with --entry and --locate has the columns of --schema" {
	for event in air grade probe order cost; do
		wy-flat --schema $event | sed -n 's/^\t"\([a-z0-9_]*\)" .*/\1/p' | tr '\n' '\t' | sed 's/\t$//' >"$T/want"
		wy-flat $event --entry -l --as=tsv tests/cases/flat/4-values.wy | head -n 1 | tr -d '\n' | cmp - "$T/want" || fail "$event"
	done
	status 2 wy-flat --entry --as=sql tests/cases/flat/4-values.wy || true
	grep -q 'SQL has it anyway' "$T/err" || fail '--entry with SQL'
	report
}
