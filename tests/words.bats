# needs: diction
# Pages, README and help are written in plain words. What is counted is said in spec/glossary.7 and DEVELOPERS.md.

load lib/common

setup() {
	at_root
}

# Running text of all that a person reads: pages, README, help, the rules and what the house file's keys mean.
texts() {
	for page in spec/*.[57] tools/*.[17]; do sh tests/lib/pages_text.sh "$page"; done
	awk '/^```/ { on = !on } !on && !/^    /' README.md DEVELOPERS.md samples/README.md editors/README.md
	for tool in tools/wy-*.[1]; do "$(basename "$tool" .1)" --help; done
	grep -hoE '(text|mend|help): .*' spec/rules.yaml spec/house-keys.yaml spec/vocabulary.yaml
}

@test "words: the mean sentence of every page has at most 18 words" {
	n=0
	for page in spec/*.[57] tools/*.[17]; do
		n=$((n + 1))
		mean=$(sh tests/lib/pages_text.sh "$page" | style 2>/dev/null | sed -n 's/.*sentences, average length \([0-9.]*\) words.*/\1/p')
		awk -v mean="$mean" 'BEGIN { exit !(mean > 0 && mean <= 18) }' || fail "$page: ${mean:-no} words"
	done
	[ "$n" -ge 20 ] || fail "only $n pages"
	# the measure sees a long sentence
	long=$(awk 'BEGIN { printf "The wood"; for (i = 0; i < 40; i++) printf " dries and"; print " waits." }' | style 2>/dev/null | sed -n 's/.*average length \([0-9.]*\) words.*/\1/p' | head -n 1)
	awk -v mean="$long" 'BEGIN { exit !(mean > 40) }' || fail "a sentence of 83 words counts as $long"
	report
}

@test "words: quaint words are used at most ten times in all" {
	texts >"$T/texts"
	[ "$(wc -w <"$T/texts")" -ge 15000 ] || fail "only $(wc -w <"$T/texts") words"
	grep -noiwE 'told|tells?|stands|stood|bears|anew|is no [a-z]+' "$T/texts" | grep -viE ':is no (longer|more)$' >"$T/quaint" || true
	n=$(wc -l <"$T/quaint")
	[ "$n" -le 10 ] || fail "$n: $(cut -d: -f1 "$T/quaint" | head -n 60 | while read -r at; do sed -n "${at}p" "$T/texts"; done)"
	report
}

@test "words: no pipeline counts columns" {
	grep -nE '\$[0-9]+' README.md DEVELOPERS.md samples/README.md spec/*.[57] tools/*.[17] | grep -E "awk|cut" >"$T/found" && fail "$(cat "$T/found")"
	grep -nE 'cut -f ?[0-9]' README.md spec/*.[57] tools/*.[17] >"$T/found" && fail "$(cat "$T/found")"
	report
}
