# conformance.sh - puts the cases of tests/cases/conformance (see the README.md there) to these tools:
#   bash tests/lib/conformance.sh invalid|books|orders BIN SCRATCH
# Prints every failure, and as its last line what was done. bats traces each command of a test; twenty
# orders of a hundred books are for a plain shell.
set -u
root=$PWD
suite=$root/tests/cases/conformance
part=$1 bin=$2 T=$3
cd "$T" || exit # no house file is found from here

# A table of tsv as words with single spaces, - for an empty cell; numbers to 0.0001.
words() {
	awk -F '\t' '{
		for (i = 1; i <= NF; i++) {
			word = $i == "" ? "-" : $i
			if (word ~ /^[0-9]+\.[0-9]+$/) { word = sprintf("%.4f", word); sub(/\.?0+$/, "", word) }
			printf "%s%s", (i > 1 ? " " : ""), word
		}
		print ""
	}'
}

# house_of CASE: the option for the house file that cases of its folder take
house_of() {
	case $1 in
	*/bare/*) house=() ;;
	*) house=(-H "$root/spec/house.example.yaml") ;;
	esac
}

table() { local tool=$1; shift; "$bin/$tool" "${house[@]}" --as=tsv --no-header "$@" 2>"$T/err"; }

# BOOK [BEFORE]
diags() { table wy-check --columns=line,column,level,rule ${2:+"--before=$2"} "$1"; }
stock() { table wy-stock --on=9999-12-31 --by=place,form,type,grade,lot --columns=place,form,type,grade,lot,count "$1"; }

# Each prints what the file of that name beside the case holds.
ask_diag() {
	local before=${1%.wy}.before
	[ -f "$before" ] || before=
	diags "$1" "$before" | sed 's/\t/:/; s/\t/ /g'
}

ask_stock() { stock "$1" | words; }

ask_flows() {
	table wy-stock --since=0001-01-01 --on=9999-12-31 --columns=form,type,start,in,found,returned,made,culled,sold,used,end "$1" | words
}

ask_orders() { table wy-stock --orders --on=9999-12-31 --columns=order,form,type,grade,wanted,sold,open,in_stock,to_make,short "$1" | words; }

ask_steps() { table wy-yield --on=9999-12-31 --columns=step,in,out,culled,still "$1" | grep -v '^all' | words; }

ask_moisture() { table wy-moist --all --by=lot --columns=lot,n_readings,n_uncorrected,mc_mean_pct "$1" | words; }

ask_air() { table wy-air --timed --by=place --columns=place,rh_mean_pct,temp_mean_c "$1" | words; }

# orders TIMES BOOK PREFIX: the book as PREFIX.0, and up to TIMES other orders of its lines as PREFIX.1 ..., drawn
# with a fixed seed. Prints how many there are; a book of three lines has no more than five others.
orders() {
	awk -v times="$1" -v prefix="$3" '
	function rnd(n) { state = (state * 16807) % 2147483647; return int(state / 2147483647 * n) }
	function keep(    i, all) {
		for (i = 1; i <= NR; i++) all = all line[i] "\n"
		if (all in seen) return
		seen[all] = 1
		printf "%s", all >(prefix "." kept++)
	}
	{ line[NR] = $0 }
	END {
		state = 97
		keep()
		for (t = 0; t < 10 * times && kept <= times; t++) {
			for (i = NR; i > 1; i--) { k = 1 + rnd(i); was = line[i]; line[i] = line[k]; line[k] = was }
			keep()
		}
		print kept - 1
	}' "$2"
}

# same_in_any_order TIMES NAME PREFIX: PREFIX.N are the orders of a book, PREFIX.N.diag and PREFIX.N.stock their answers
same_in_any_order() {
	awk -v times="$1" -v name="$2" -v prefix="$3" '
	# What is reported of lines with the same text is counted together.
	function verdict(order, count,    file, line, text, n, at) {
		split("", count)
		for (n = 0; (getline line <(prefix "." order)) > 0;) text[++n] = line
		close(prefix "." order)
		file = prefix "." order ".diag"
		while ((getline line <file) > 0) {
			at = line + 0
			sub(/^[0-9]+\t/, "", line)
			count[line "\t" text[at]]++
		}
		close(file)
	}
	function stock(order,    file, line, all) {
		file = prefix "." order ".stock"
		while ((getline line <file) > 0) all = all line "\n"
		close(file)
		return all
	}
	BEGIN {
		verdict(0, want)
		for (i = 1; i <= times; i++) {
			verdict(i, got)
			for (row in want) if (got[row] != want[row]) { print name ", order " i ": not reported as before: " row; exit }
			for (row in got) if (got[row] != want[row]) { print name ", order " i ": newly reported: " row; exit }
			if (stock(i) != stock(0)) { print name ", order " i ": other stock:\n" stock(i); exit }
		}
	}'
}

# judge QUESTION BOOK: the answer is that of the file beside the book
judge() {
	local want=${2%.wy}.$1
	[ -f "$want" ] || want=/dev/null
	house_of "$2"
	"ask_$1" "$2" >"$T/out"
	LC_ALL=C sort "$want" | diff - <(LC_ALL=C sort "$T/out") >"$T/diff" || echo "${2#"$suite/"}, $1: $(cat "$T/diff")"
}

judge_invalid() {
	for book in "$suite"/invalid/*.wy; do
		n=$((n + 1))
		[ -s "${book%.wy}.diag" ] || echo "$book: what is wrong with it?"
		judge diag "$book"
	done
	echo "$n cases"
}

judge_books() {
	local asked=0
	for book in "$suite"/books/*.wy "$suite"/bare/*.wy; do
		n=$((n + 1))
		judge diag "$book"
		for question in stock flows orders steps moisture air; do
			[ -f "${book%.wy}.$question" ] || continue
			asked=$((asked + 1))
			judge "$question" "$book"
		done
	done
	echo "$n cases, $asked questions"
}

# Which of two lines that are the same is reported depends on their order (clause 13.1).
judge_orders() {
	local tried=0 times before
	for book in "$suite"/books/*.wy "$suite"/bare/*.wy; do
		[ ! -f "${book%.wy}.diag" ] || ! grep -q line-twice "${book%.wy}.diag" || continue
		n=$((n + 1))
		house_of "$book"
		before=${book%.wy}.before
		[ -f "$before" ] || before=
		rm -f order.*
		times=$(orders 20 "$book" order)
		tried=$((tried + times))
		for ((i = 0; i <= times; i++)); do
			diags "order.$i" "$before" >"order.$i.diag"
			[ ! -f "${book%.wy}.stock" ] || stock "order.$i" >"order.$i.stock"
		done
		same_in_any_order "$times" "${book#"$suite/"}" order
	done
	echo "$n cases, $tried orders"
}

n=0
"judge_$part"
