# wy-chart: every kind from stored tables, as SVG and in a terminal's cells, and from the pipelines of its page.
# Whether labels lie apart is checked in tests/unit/picture.c, the colours in tests/outside/colours.c.
# needs: libxml2-utils librsvg2-bin

load lib/common

setup() {
	at_root
	cases=$PWD/tests/cases/chart
	unset LC_ALL LC_CTYPE
	export LANG=C.UTF-8
}

kinds='drying orders store steps grades ends weights ages readings origin cost forecasts'

plain() { case $bin in */san/*) return 1 ;; esac; }

@test "chart: in the cells of a terminal, 80 and 120 columns, UTF-8 and ASCII" {
	for kind in $kinds; do
		for width in 80 120; do
			for form in text ascii; do
				status 0 wy-chart "$kind" --as=$form --width=$width "$cases/$kind.tsv" || continue
				same "$cases/$kind-$width-$form.txt" "$kind $width $form"
				[ ! -s "$T/err" ] || fail "$kind: $(cat "$T/err")"
			done
			LC_ALL=C wy-chart "$kind" --as=text --width=$width "$cases/$kind.tsv" | cmp -s - "$cases/$kind-$width-ascii.txt" || fail "$kind: not ASCII in the locale C"
		done
	done
	[ "$(find "$cases" -name '*.txt' | wc -l)" = 48 ] || fail "not 48 files"
	# without the causes no picture promises them
	head -n 11 "$cases/steps.tsv" | wy-chart steps --as=ascii | grep -q '  // lost$' || fail 'causes that were not given'
	report
}

@test "chart: SVG is valid, has a title and a description, no script, and the same bytes each time" {
	for kind in $kinds; do
		for width in 360 720; do
			status 0 wy-chart "$kind" --width=$width --ids=k1 "$cases/$kind.tsv" || continue
			xmllint --noout "$T/out" || fail "$kind: not valid XML"
			[ -n "$(xmllint --xpath 'string(//*[local-name()="title"][@id="k1-title"])' "$T/out")" ] || fail "$kind: no title"
			[ -n "$(xmllint --xpath 'string(//*[local-name()="desc"][@id="k1-desc"])' "$T/out")" ] || fail "$kind: no description"
			grep -qi '<script\|href=\|http://www.w3.org/2000/svg.*http' "$T/out" && fail "$kind: a script or a link"
			[ "$(grep -o 'id="[^"]*"' "$T/out" | grep -vc 'id="k1-')" = 0 ] || fail "$kind: an id without the prefix"
			cp "$T/out" "$T/first"
			wy-chart "$kind" --width=$width --ids=k1 <"$cases/$kind.tsv" | cmp -s - "$T/first" || fail "$kind: standard input differs"
			plain || continue
			rsvg-convert -o "$T/out.png" "$T/first" 2>"$T/err" || fail "$kind: rsvg-convert fails"
			[ ! -s "$T/err" ] || fail "$kind: $(cat "$T/err")"
		done
	done
	report
}

@test "chart: csv and json give the same picture as tsv" {
	cd samples || return
	for form in tsv csv json; do
		wy-grade -b --by supplier --as=$form | wy-chart grades >"$T/grades.$form" || fail "$form: status $?"
		wy-trace -b --on 2027-12-31 --as=$form B0635 | wy-chart origin >"$T/origin.$form" || fail "$form: status $?"
	done
	for kind in grades origin; do
		cmp -s "$T/$kind.tsv" "$T/$kind.csv" || fail "$kind: csv differs"
		cmp -s "$T/$kind.tsv" "$T/$kind.json" || fail "$kind: json differs"
	done
	report
}

@test "chart: the order of tables and files does not matter" {
	for kind in orders store weights; do
		rm -f "$T"/part*
		awk -v to="$T/part" '/^[a-z][a-z0-9_\t]*_[a-z0-9_\t]*$/ { n++ } { print >(to n) }' "$cases/$kind.tsv"
		[ "$(find "$T" -name 'part*' | wc -l)" -ge 2 ] || fail "$kind: one part"
		wy-chart "$kind" "$cases/$kind.tsv" >"$T/one"
		wy-chart "$kind" $(find "$T" -name 'part*' | sort -r) | cmp -s - "$T/one" || fail "$kind: the other order differs"
	done
	report
}

@test "chart: a missing column is named, with a command that prints it" {
	for kind in $kinds; do
		printf 'a\tb\n1\t2\n' >"$T/other.tsv"
		status 1 wy-chart "$kind" "$T/other.tsv"
		[ ! -s "$T/out" ] || fail "$kind: it prints"
		grep -q "^wy-chart: '$kind' needs a column [a-z_0-9]*, which no table here has; 'wy-[a-z]* .*' prints one\$" "$T/err" || fail "$kind: $(cat "$T/err")"
		status 1 wy-chart "$kind" /dev/null
		sed '/^#/d' "$cases/$kind.tsv" | head -n 1 >"$T/header.tsv"
		status 1 wy-chart "$kind" "$T/header.tsv"
	done
	cut -f 1-4,6- "$cases/grades.tsv" >"$T/without.tsv"
	status 1 wy-chart grades "$T/without.tsv"
	grep -q 'needs a column of, ' "$T/err" || fail "the missing one is not named: $(cat "$T/err")"
	printf 'charge\tverdict\tread_on\tmean_pct\tdriest_pct\twettest_pct\nK1\tready\t2027-01-01\t9\t9\t9\n' >"$T/open.tsv"
	status 1 wy-chart ends "$T/open.tsv"
	grep -q 'no charge is over' "$T/err" || fail "$(cat "$T/err")"
	report
}

@test "chart: usage, files that are not tables, and output that cannot be written" {
	status 2 wy-chart
	grep -q 'name a kind of picture: drying, orders, ' "$T/err" || fail "$(cat "$T/err")"
	status 2 wy-chart pie "$cases/cost.tsv"
	grep -q "'pie' is not a kind of picture" "$T/err" || fail "$(cat "$T/err")"
	status 2 wy-chart cost --ids=1a "$cases/cost.tsv"
	status 2 wy-chart cost --as=png "$cases/cost.tsv"
	status 2 wy-chart cost --width=39 "$cases/cost.tsv"
	status 2 wy-chart cost "$T/none.tsv"
	grep -q "cannot read $T/none.tsv" "$T/err" || fail "$(cat "$T/err")"
	printf 'a\tb\tc\n1\t2\n' >"$T/short.tsv"
	status 2 wy-chart cost "$T/short.tsv"
	grep -q 'short.tsv:2: the row has another number of cells' "$T/err" || fail "$(cat "$T/err")"
	printf 'a\tb\n1\t2\n#! incomplete\n' >"$T/cut.tsv"
	status 2 wy-chart cost "$T/cut.tsv"
	grep -q 'cut.tsv:3: the command that wrote this failed' "$T/err" || fail "$(cat "$T/err")"
	echo '{"a": 1' >"$T/bad.json"
	status 2 wy-chart cost "$T/bad.json"
	if plain; then
		got=0
		wy-chart cost "$cases/cost.tsv" >/dev/full 2>"$T/err" || got=$?
		[ $got = 2 ] || fail "a full disk is not noticed"
	fi
	status 0 wy-chart --kinds
	[ "$(wc -l <"$T/out")" = 13 ] || fail "not twelve kinds"
	report
}

@test "chart: names are text: markup, quotes, other directions, emoji; a width out of bounds is the nearest" {
	printf 'supplier\tblades\tcurrency\teach\ttimber_share\tdrying_share\tother_share\tlosses_share\n' >"$T/odd.tsv"
	printf '<b>&"x"</b>\t1\tNZD\t1\t1\t0\t0\t0\nשלום\t1\tNZD\t1\t1\t0\t0\t0\n🏏 bats\t1\tNZD\t1\t1\t0\t0\t0\n' >>"$T/odd.tsv"
	status 0 wy-chart cost "$T/odd.tsv"
	xmllint --noout "$T/out" || fail "not valid"
	for name in '&lt;b&gt;&amp;&quot;x&quot;&lt;/b&gt;' שלום '🏏 bats'; do
		grep -qF ">$name<" "$T/out" || fail "no $name"
	done
	# of too many rows the first are shown, and that of all together at the end
	head -n 1 "$cases/cost.tsv" >"$T/many.tsv"
	for i in $(seq 100); do sed -n 2p "$cases/cost.tsv"; done >>"$T/many.tsv"
	tail -n 1 "$cases/cost.tsv" >>"$T/many.tsv"
	wy-chart cost --as=ascii "$T/many.tsv" >"$T/out"
	[ "$(grep -c ' n [0-9]*$' "$T/out")" = 60 ] || fail "not 60 bars: $(grep -c ' n [0-9]*$' "$T/out")"
	tail -n 1 "$T/out" | grep -q '^ *all ' || fail "the row of all is left out: $(tail -n 1 "$T/out")"
	wy-chart cost --width=1600 "$T/odd.tsv" | grep -q 'width="1600"' || fail "width"
	wy-chart cost --width=40 "$T/odd.tsv" | grep -q 'width="320"' || fail "least width"
	status 0 wy-chart cost --untitled "$T/odd.tsv"
	grep -q 'class="wy-text wy-title' "$T/out" && fail "the finding is drawn"
	grep -q '<title id="wy-title">' "$T/out" || fail "the title is lost"
	report
}

@test "chart: the page has every option, and its example prints what it shows" {
	page_options tools/wy-chart.1
	[ "$options" -ge 5 ] || fail "only $options options"
	mandoc -T lint -W warning tools/wy-chart.1 || fail "mandoc finds faults"
	sed -n '/^\$ cat costs.csv/,/^\$ wy-chart/p' tools/wy-chart.1 | grep -v '^\$' >"$T/costs.csv"
	sed -n '/^\$ wy-chart/,/^\.Ed/p' tools/wy-chart.1 | grep -v '^\$\|^\.Ed' >"$T/want"
	(cd "$T" && wy-chart cost --as=ascii --width=60 costs.csv) >"$T/out"
	same "$T/want" "the example"
	report
}

# The pipelines need every filter; what they print is checked elsewhere.
@test "chart: the pipeline of the page for each kind draws the sample works" {
	plain || return 0
	sed -n '/^A picture of each kind/,/^\.Ed/p' tools/wy-chart.1 | sed '1,2d;/^\.Ed/d' >"$T/calls"
	cp -R samples "$T/works"
	(cd "$T/works" && WITHY_TODAY=2027-12-31 bash -e -o pipefail "$T/calls") || fail "a pipeline fails"
	[ "$(find "$T/works" -maxdepth 1 -name '*.svg' | wc -l)" = 12 ] || fail "not twelve pictures"
	for svg in "$T"/works/*.svg; do
		xmllint --noout "$svg" || fail "$svg is not valid"
	done
	report
}

@test "chart: the gallery has the twelve pictures, each with its pipeline" {
	plain || return 0
	status 0 sh samples/gallery.sh "$T/gallery"
	[ ! -s "$T/err" ] || fail "$(cat "$T/err")"
	grep -q '<h2></h2>' "$T/gallery/index.html" && fail "a picture without its question"
	[ "$(grep -c '<svg ' "$T/gallery/index.html")" = 12 ] || fail "not twelve pictures"
	[ "$(grep -c '<pre class="pipeline">' "$T/gallery/index.html")" = 12 ] || fail "not twelve pipelines"
	[ "$(grep -o ' id="[^"]*"' "$T/gallery/index.html" | sort | uniq -d | wc -l)" = 0 ] || fail "an id is there twice"
	report
}

@test "chart: grades come in the order in which the stock has them, and else by their words" {
	printf 'form\ttype\tgrade\tclass\topen\tin_stock\tshort\nblade\tSH\tsecond\t\t4\t4\t0\nblade\tHA\tpro\t\t3\t1\t2\nblade\tHA\tlast\t\t3\t1\t2\n' >"$T/orders.tsv"
	printf 'form\ttype\tgrade\tthere\nblade\tSH\tpro\t3\nblade\tSH\tgrand\t3\nblade\tSH\tsecond\t4\nblade\tHA\tgrand\t2\nblade\tHA\tbasic\t1\n' >"$T/free.tsv"
	for case in "free.tsv:last pro grand basic second" "none.tsv:last pro second"; do
		printf 'form\ttype\tgrade\tthere\n' >"$T/none.tsv"
		got=$(wy-chart orders --as=text "$T/orders.tsv" "$T/${case%%:*}" | sed -n 's/^blade *//p' | tr -s ' ' | sed 's/ $//')
		[ "$got" = "${case#*:}" ] || fail "$case: '$got'"
	done
	report
}
