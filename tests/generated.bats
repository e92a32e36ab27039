# What is made from spec/ and kept (editor files, reference pages) is what the generator makes now,
# and the generator says what it cannot make.

load lib/common

setup() {
	at_root
	B=${B:-build}
	make -s B="$B" kept
}

@test "generated: every file beside a template is what the template makes" {
	bad=0 n=0
	while read -r template; do
		made=${template%.in} n=$((n + 1))
		cmp "$B/kept/$made" "$made" || { echo "run: make words"; bad=1; }
	done < <(find editors spec tools -name '*.in')
	[ "$n" -ge 5 ] && [ "$bad" = 0 ]
}

words() { # words: standard input as a template, to $T/out and $T/err
	cat >"$T/template"
	"$B/gen/make-words" "$T/template" tools/wy-reckon.1 >"$T/out" 2>"$T/err"
}

@test "generated: words, glue, loops within loops, empty words, the last round" {
	words <<-'END'
		a@b.c @Aa@ @: @@ [@forms:|@] "@forms:", "@" @tools@
		@for forms@
		  @name@: @help@@more:,@
		@end@
		@for events@
		@name@ one of @one-of:+@
		  @for needs@
		@name@ @type@ @words:/@
		    @for words@
		<@name@>@more:;@
		    @end@
		  @end@
		@end@
		@for types@
		@name@ @units: @ @least@ @base@
		@end@
	END
	head -n 5 "$T/out" >"$T/head"
	cmp "$T/head" - <<-'END'
		a@b.c @Aa@ @: @@ [cleft|blade|handle|bat] "cleft", "blade", "handle", "bat" wy-reckon
		  cleft: split and not yet planed,
		  blade: planed,
		  handle: a handle,
		  bat: a blade with its handle in
	END
	# set has a one-of and no needs; the units of a type are its own, and a type without is left out
	[ "$(grep -c '^set one of stage+temp+rh+wetbulb$' "$T/out")" = 1 ]
	[ "$(grep -c '^mass g kg lb oz 0 g$' "$T/out")" = 1 ]
	[ "$(grep -c '^text ' "$T/out")" = 0 ]
	# no field that an event needs has words of its own, so that nothing is left of those lines
	[ "$(grep -c '^<\|^[a-z-]* id ' "$T/out")" = 0 ]
}

@test "generated: units come the longest first, so that an alternation finds them whole" {
	echo '@units@' | words || [ -s "$T/out" ]
	tr ' ' '\n' <"$T/out" | awk '{ if (NR > 1 && length($0) > last) exit 1; last = length($0); n++ } END { exit n < 15 }'
}

@test "generated: words are written safely for the language" {
	bad=0
	while IFS='|' read -r language rule want; do
		printf '@escape %s@\n@for rules@\n%s @text@; @mend@\n@end@\n' "$language" '@name@' | words || cat "$T/err"
		grep -qxF -- "$rule $want" "$T/out" || { echo "$language: $(grep "^$rule " "$T/out")"; bad=1; }
	done <<-'END'
		plain|quote-escape|a backslash in a text must come before " or another backslash; write \\ for a backslash
		json|quote-escape|a backslash in a text must come before \" or another backslash; write \\\\ for a backslash
		mdoc|quote-escape|a backslash in a text must come before " or another backslash; write \e\e for a backslash
		xml|quote-escape|a backslash in a text must come before &quot; or another backslash; write \\ for a backslash
		vim|value-missing|''{field}='' has no value; write the value or remove the field; write - if no reading could be taken and the field allows it
	END
	printf '@for rules@\n%s @text@\n@end@\n' '@name@' | words && mv "$T/out" "$T/plain"
	printf '@escape sh@\n@for rules@\nprintf "%%s %%s\\n" @name@ %s@text@%s\n@end@\n' "'" "'" | words
	sh "$T/out" >"$T/through-sh"
	cmp "$T/plain" "$T/through-sh"
	grep -q "'" "$T/plain"
	[ "$bad" = 0 ]
}

@test "generated: an mdoc line that would be a request is text" {
	printf '@escape mdoc@\n@for rules@\n@text@\n@end@\n' | words
	grep -q "^\\\\&'" "$T/out"
	[ "$(grep -c "^[.']" "$T/out")" = 0 ]
}

@test "generated: a slip in a template is reported with its line" {
	bad=0
	while IFS='|' read -r template want; do
		if printf "$template" | words; then echo "taken: $template"; bad=1; fi
		grep -qF -- "$T/template:$want" "$T/err" || { echo "$template: $(cat "$T/err")"; bad=1; }
	done <<-'END'
		one\n@evnts@\n|2: error: there are no words called 'evnts'
		@for event@\n@end@\n|1: error: there are no words called 'event'
		@for events@\n@units@ @least@\n@end@\n|2: error: there are no words called 'least'
		@for events@\n@name@\n|2: error: no @end@ for the loop over 'events'
		a\n@end@\n|2: error: without a loop: '@end@'
		@escape html5@\n|1: error: there is no escaping for 'html5'
		@name@\n|1: error: there are no words called 'name'
	END
	[ "$bad" = 0 ]
}
