# needs: parallel, openssh-server, iproute2
# Parts of a book on many processes and hosts: the recipes of withy-large(7), run as they are on the page. GNU
# parallel on one machine; ssh to hosts in network namespaces, of which one dies half-way; the contract of
# engines that map and reduce. The answer is always that of one run, to the byte.

load lib/common

setup() {
	at_root
	R=$PWD
	export WITHY_HOUSE=$R/samples/house.yaml
	mkdir "$T/work"
	mkdir "$T/home" && export HOME=$T/home && mkdir -p "$HOME/.parallel" && : >"$HOME/.parallel/will-cite"
}

teardown() {
	[ -z "${hosts:-}" ] || kill "$hosts" 2>/dev/null || true
	[ -z "${hosts:-}" ] || wait "$hosts" 2>/dev/null || true
}

# recipe WORDS: the block of withy-large(7) that begins a line with them
recipe() {
	words=$1 awk '
		/^\.Bd / { on = 1; block = "\n"; next }
		/^\.Ed/ { if (on && index(block, "\n" ENVIRON["words"])) { printf "%s", block; found++ } on = 0 }
		on { gsub(/\\e/, "\\"); block = block $0 "\n" }
		END { exit found != 1 }' "$R/spec/withy-large.7" || fail "not one recipe with: $1"
}

# works DIRECTORY N: the books of N works, packed; each has its own lots and charges
works() {
	mkdir -p "$1"
	awk -v lines=6000 -f "$R/tests/bench/book.awk" | awk -v n="$2" -v dir="$1" '
		match($0, /[KTL][0-9][0-9][0-9][0-9][0-9][0-9]/) {
			id = substr($0, RSTART + 1, 6) + 0
			if (substr($0, RSTART, 1) != "K") { lot = id; id = int(lot / 8) }
			print >(dir "/w" int(id / 4) % n ".wy"); next
		}
		{ print >(dir "/w0.wy") }'
	gzip "$1"/*.wy
}

grade_calls() {
	cat <<-'END'
	--by supplier
	--wide --by kiln,type
	--by lot --from 2000-05-01 --to 2000-06-30
	--by month,grader,charge
	--from 2027-10-01 --baseline 6 --shift --by supplier
	--wide --from 2026-02-01 --to 2027-11-30
	--as text
	--regrades --by was
	END
}

@test "cluster: states of grades merge to the answer of one run, from any works, in any order" {
	works "$T/w" 5
	cp "$WITHY_HOUSE" "$T/house.yaml"
	export WITHY_HOUSE=$T/house.yaml
	# the sample works are one more, with two schemes, blades that are graded again, and pools
	cat samples/book/*.wy >"$T/w/samples.wy"
	for book in "$T"/w/*; do wy-grade --partial "$book" >"$T/${book##*/}.state" 2>"$T/err" || fail "$book: $(head -n 2 "$T/err")"; done
	wy-grade --partial /dev/null >"$T/none.state"
	wy-grade --partial "$T"/w/* >"$T/whole"
	ls "$T"/*.state >"$T/states"
	[ "$(wc -l <"$T/states")" = 7 ]
	for seed in 1 2 3; do
		mapfile -t some < <(shuf --random-source=<(yes $seed) "$T/states")
		wy-grade --merge --partial "${some[@]:0:3}" >"$T/left"
		wy-grade --merge --partial "${some[@]:3}" >"$T/right"
		cat "$T/right" "$T/left" | wy-grade --merge --partial | cmp - "$T/whole" || fail "merges of merges, order $seed"
	done
	n=0
	while read -r call; do
		want=0
		wy-grade $call "$T"/w/* >"$T/want" 2>/dev/null || want=$?
		status $want wy-grade $call --merge "${some[@]}" || true
		same "$T/want" "wy-grade $call"
		[ "$(wc -l <"$T/want")" -gt 1 ] && n=$((n + 1))
	done < <(grade_calls)
	[ "$n" -ge 6 ] || fail "only $n calls have an answer"
	# a lot in two states; a state twice; other schemes; damage
	status 2 wy-grade --merge "$T/w1.wy.gz.state" "$T/w1.wy.gz.state" || true
	grep -q 'is in two of the states; put all its lines into one part' "$T/err" || fail "twice: $(cat "$T/err")"
	zcat "$T/w/w1.wy.gz" | grep ' unload ' >"$T/cut.wy"
	wy-grade --partial "$T/cut.wy" >"$T/cut" 2>/dev/null || true
	status 2 wy-grade --merge "$T/w1.wy.gz.state" "$T/cut" || true
	grep -q 'is in two of the states' "$T/err" || fail "cut apart: $(cat "$T/err")"
	sed -i 's/former:.*//; s/2024-01-01/2024-01-02/' "$T/house.yaml"
	status 2 wy-grade --merge "$T/w1.wy.gz.state" || true
	grep -q 'made with schemes=.* and not with schemes=' "$T/err" || fail "schemes: $(cat "$T/err")"
	export WITHY_HOUSE=$R/samples/house.yaml
	sed '/^graded/s/\t[12][0-9-]* /\tnow /' "$T/w1.wy.gz.state" >"$T/hurt"
	status 2 wy-grade --merge "$T/hurt" || true
	grep -q 'not one that wy-grade writes' "$T/err" || fail "damage: $(cat "$T/err")"
	# what does not add up in a part is counted
	{ zcat "$T/w/w2.wy.gz"; echo '2001-01-01 grade L999999 at=bench count=1:5'; } >"$T/bad.wy"
	wy-grade --partial "$T/bad.wy" >"$T/bad" 2>/dev/null && fail 'a fault: status 0'
	status 1 wy-grade --merge "$T/bad" "$T/w1.wy.gz.state" || true
	grep -q '1 line skipped when the states were made' "$T/err" || fail "a fault: $(cat "$T/err")"
	report
}

@test "cluster: states of the stock merge to the answer of one run, from any works, in any order" {
	works "$T/w" 5
	cat samples/book/*.wy >"$T/w/samples.wy"
	on=--on=2027-12-31
	for book in "$T"/w/*; do wy-stock $on --partial "$book" >"$T/${book##*/}.state" 2>"$T/err" || fail "$book: $(head -n 2 "$T/err")"; done
	wy-stock $on --partial /dev/null >"$T/none.state"
	wy-stock $on --partial "$T"/w/* >"$T/whole"
	for seed in 1 2 3; do
		mapfile -t some < <(printf '%s\n' "$T"/*.state | shuf --random-source=<(yes $seed))
		wy-stock $on --merge --partial "${some[@]:0:3}" >"$T/left"
		wy-stock $on --merge --partial "${some[@]:3}" >"$T/right"
		cat "$T/right" "$T/left" | wy-stock $on --merge --partial | cmp - "$T/whole" || fail "merges of merges, order $seed"
	done
	for call in "" "--by lot" "--by place,class,grade" "--by type,grade --as=text" "--by form --as=json"; do
		wy-stock $on $call "$T"/w/* >"$T/want" || fail "$call: status $?"
		[ "$(wc -l <"$T/want")" -gt 1 ] || fail "$call: no answer"
		status 0 wy-stock $on $call --merge "${some[@]}" || true
		same "$T/want" "wy-stock $call"
	done
	status 2 wy-stock $on --merge "$T/samples.wy.state" "$T/samples.wy.state" || true
	grep -q 'is in two of the states; put all its lines into one part' "$T/err" || fail "twice: $(cat "$T/err")"
	status 2 wy-stock --on=2027-12-30 --merge "$T/samples.wy.state" || true
	grep -q 'made with on=2027-12-31 and not with on=2027-12-30' "$T/err" || fail "another day: $(cat "$T/err")"
	sed '/^stock/s/ \(bat\|blade\|handle\|cleft\) / raft /' "$T/samples.wy.state" >"$T/hurt"
	status 2 wy-stock $on --merge "$T/hurt" || true
	grep -q 'not one that wy-stock writes' "$T/err" || fail "damage: $(cat "$T/err")"
	{ cat samples/book/*.wy; echo '2027-12-30 move L999999 at=bench count=1 into=store'; } >"$T/bad.wy"
	status 1 wy-stock $on --partial "$T/bad.wy" || true
	cp "$T/out" "$T/bad"
	status 1 wy-stock $on --merge "$T/bad" || true
	grep -q '1 line skipped when the states were made' "$T/err" || fail "a fault: $(cat "$T/err")"
	for wrong in --orders --free --audit --rest "--by age" --since=2027-01-01 "--changes-of lot=C014"; do
		status 2 wy-stock $on $wrong --merge "$T/whole" || true
		grep -q 'partial and --merge are for the pieces that are there; leave out' "$T/err" || fail "$wrong: $(cat "$T/err")"
	done
	report
}

@test "cluster: under GNU parallel on one machine" {
	cd "$T/work"
	works works 4
	wy-grade --by supplier works/*.wy.gz >grades.want
	awk -v lines=20000 -f "$R/tests/bench/book.awk" >book.wy
	wy-air book.wy >air.want
	bash -euo pipefail -c "$(recipe 'parallel wy-grade')" >got 2>err || fail "grades: $(cat err)"
	cmp -s got grades.want || fail "grades: $(diff got grades.want | head -n 3)"
	block=$(recipe 'parallel --pipe-part')
	bash -euo pipefail -c "${block/10M/50k}" >got 2>err || fail "air: $(cat err)"
	cmp -s got air.want || fail "air: $(diff got air.want | head -n 3)"
	[ "$(parallel --pipe-part --block 50k -a book.wy wy-air --partial | grep -c ^end)" -gt 10 ] || fail 'few parts'
	report
}

# Hosts, and a directory for the recipe; $kind is what they are.
make_hosts() {
	sh tests/lib/hosts.sh "$T/hosts" 3 "$T/remote:$PATH" 3>&- >"$T/hosts.out" 2>&1 &
	hosts=$!
	for i in $(seq 300); do [ -e "$T/hosts/kind" ] && break; kill -0 "$hosts" 2>/dev/null || break; sleep 0.1; done
	kind=$(cat "$T/hosts/kind") || { cat "$T/hosts.out" "$T"/hosts/*.log; return 1; }
}

@test "cluster: over ssh on three hosts, of which one dies half-way and its work is done again" {
	make_hosts
	cd "$T/work"
	awk -v lines=6000 -f "$R/tests/bench/book.awk" | LC_ALL=C sort -s -k 1,1 >book.wy
	wy-air book.wy >want
	# what the shells of the hosts find: the filter, which notes its host, and ends the second one in its first part
	mkdir "$T/remote"
	cat >"$T/remote/wy-air" <<-END
	#!/bin/sh
	host=\$(echo "\$SSH_CONNECTION" | cut -d ' ' -f 3,4)
	echo "\$host" >>"$T/worked"
	if ! mkdir "$T/first-\$(echo "\$host" | tr ' ' -)" 2>/dev/null || [ "\$host" != "$(awk '/^HostName/ { a = $2 } /^Port/ && ++n == 2 { print a, $2 }' "$T/hosts/config")" ]; then
		exec "$bin/wy-air" -H "$WITHY_HOUSE" "\$@"
	fi
	"$bin/wy-air" -H "$WITHY_HOUSE" "\$@" | head -c 300
	sh "$T/hosts/kill-host" 2
	END
	chmod +x "$T/remote/wy-air"
	# ssh as the recipe calls it
	printf '#!/bin/sh\nexec ssh -F "%s/hosts/config" "$@"\n' "$T" >"$T/ssh"
	chmod +x "$T/ssh"
	block=$(recipe 'split -n')
	"$T/hosts/desk" env PARALLEL_SSH="$T/ssh" bash -euo pipefail -c "$block" >got 2>err || fail "the recipe: $(cat err)"
	cmp -s got want || fail "$(diff got want | head -n 4)"
	[ "$(sort -u "$T/worked" | wc -l)" = 3 ] || fail "not all hosts had work: $(sort "$T/worked" | uniq -c)"
	[ "$(wc -l <"$T/worked")" -ge 13 ] || fail "no work was done again: $(sort "$T/worked" | uniq -c)"
	"$T/hosts/desk" ssh -F "$T/hosts/config" h2 true 2>/dev/null && fail 'the second host is not dead'
	[ "$(ls part.??.new 2>/dev/null | wc -l)" -le 1 ] || fail 'more than one part was left half done'
	# a state that the dead host left half done is refused
	for half in part.??.new; do
		[ ! -s "$half" ] || { status 2 wy-air --merge "$half" || true; }
	done
	report
	[ "$kind" = namespaces ] || skip "no network namespaces here, so the hosts were $kind"
}

# A streaming engine in a few lines: splits, mappers, a combiner for each mapper, a sort by key, reducers that get the keys by
# their first word, and a last merge.
@test "cluster: by the contract of engines that map and reduce, with the combiner and without" {
	cd "$T/work"
	awk -v lines=6000 -f "$R/tests/bench/book.awk" >book.wy
	wy-air book.wy >want
	split -n l/7 book.wy split.
	mapper=$(recipe 'wy-air --partial | nl')
	reducer=$(recipe "sed 's/^[^\\t]*\\t//' | wy-air --merge --partial")
	answer=$(recipe "sed 's/^[^\\t]*\\t//' | wy-air --merge
")
	for combine in yes no; do
		rm -f mapped.* reduced.*
		for split in split.??; do
			PART=$split bash -c "$mapper" <"$split" >"mapped.$split" || fail "map $split"
			[ $combine = no ] || { LC_ALL=C sort "mapped.$split" | PART="$split" bash -c "$reducer" >c && mv c "mapped.$split"; } || fail "combine $split"
		done
		# rows reach the reducers out of order; two reducers, by the first word of the key
		cat mapped.* | shuf --random-source=<(yes 4) | awk '{ print >("reduce." length($1 $1) % 2 + (substr($1, length($1)) > "c")) }'
		for rows in reduce.*; do
			LC_ALL=C sort "$rows" | PART="$rows" bash -c "$reducer" >"reduced.$rows" || fail "reduce $rows"
		done
		[ "$(ls reduced.* | wc -l)" = 2 ] || fail 'not two reducers'
		cat reduced.* | LC_ALL=C sort | bash -c "$answer" >got || fail 'the answer'
		cmp -s got want || fail "combine $combine: $(diff got want | head -n 4)"
		rm -f reduce.*
	done
	report
}
