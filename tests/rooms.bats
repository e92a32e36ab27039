# The sources and objects of the library are as the table of rooms in DEVELOPERS.md says. Each check is
# run on the tree, and on a small made-up one which it must find wrong. Needs gcc, nm and awk.

load lib/common

setup() {
	at_root
	objects=$(cd "$bin/.." && pwd)/lib
	rooms=$PWD/tests/lib/rooms.sh
}

# A tree of two rooms, low and high, of which high may include low: nothing is wrong with it.
plant() {
	rm -rf "$T/tree"
	mkdir -p "$T/tree/tools/lib/base" "$T/tree/tools/lib/low" "$T/tree/tools/lib/high" "$T/tree/build/gen"
	cd "$T/tree" || return
	printf '## The rooms of the library\n\n| room | holds | may include | modules |\n|---|---|---|---|\n' >DEVELOPERS.md
	printf '| base | x | – | `banned` |\n| low | x | base | `low` |\n| high | x | base low | `high` |\n' >>DEVELOPERS.md
	echo 'WY_WARN = -Wall -Wextra' >Makefile
	: >tools/lib/base/banned.h
	printf '#include "base/banned.h"\nint low(void);\n' >tools/lib/low/low.h
	printf '#include "low/low.h"\n\nint low(void)\n{\n\treturn 1;\n}\n' >tools/lib/low/low.c
	echo 'int high(void);' >tools/lib/high/high.h
	printf '#include "high/high.h"\n\n#include "low/low.h"\n\nint high(void)\n{\n\treturn low();\n}\n' >tools/lib/high/high.c
	printf '#include "high/high.h"\n\nint main(void)\n{\n\treturn high();\n}\n' >tools/wy-high.c
}

# holds CHECK [OBJECTS]: the check finds nothing wrong with the tree
holds() { sh "$rooms" "$@" >"$T/found" || fail "$*: $(cat "$T/found")"; }

# finds CHECK WORDS: the check finds the planted tree wrong, and says why in these words
finds() {
	for file in tools/lib/*/*.c; do
		mkdir -p "build/${file%/*.c}"
		gcc -c -iquote tools/lib -o "build/${file%.c}.o" "$file" || fail "$1: $file does not compile"
	done
	rm -rf build/lib
	mv build/tools/lib build/lib
	rmdir build/tools
	if sh "$rooms" "$1" build/lib >"$T/found"; then fail "$1 finds nothing; it should say: $2"; fi
	grep -qF "$2" "$T/found" || fail "$1: no '$2' in: $(cat "$T/found")"
}

@test "rooms: every check lets a tree pass that is right, and refuses one without a table" {
	plant
	for file in low/low high/high; do
		mkdir -p "build/lib/${file%/*}"
		gcc -c -iquote tools/lib -o "build/lib/$file.o" "tools/lib/$file.c"
	done
	for check in folders includes symbols circles headers own lengths number; do
		holds "$check" build/lib
	done
	: >DEVELOPERS.md
	finds lengths 'no table of rooms'
	report
}

@test "rooms: tools/lib holds the folders of the table, and nothing else" {
	holds folders
	plant
	mkdir tools/lib/attic
	finds folders 'tools/lib/attic is not in the table'
	rmdir tools/lib/attic
	echo 'int stray;' >tools/lib/stray.c
	finds folders 'tools/lib/stray.c is not in the table'
	rm tools/lib/stray.c
	echo '| yard | x | base | `none` |' >>DEVELOPERS.md
	finds folders 'the table has the room yard'
	report
}

@test "rooms: the table of rooms names every module, and no other" {
	awk -F'|' '/^## The rooms/ { on = 1; next } /^## / { on = 0 }
		on && /^\| [a-z]+ \|/ && split($5, module, /[ `]+/) { for (i in module) if (module[i] ~ /^[a-z0-9_]+$/) print $2 "/" module[i] }' DEVELOPERS.md |
		tr -d ' ' | grep -v '^room/modules$' | sort >"$T/named"
	[ -z "$(uniq -d "$T/named")" ] || { echo "twice: $(uniq -d "$T/named")"; false; }
	for file in tools/lib/*/*.[ch]; do echo "${file%.*}"; done | sed 's#^tools/lib/##' | sort -u >"$T/there"
	[ -z "$(sed 's#.*/##' "$T/there" | sort | uniq -d)" ] || { echo "one name in two rooms: $(sed 's#.*/##' "$T/there" | sort | uniq -d)"; false; }
	diff "$T/there" "$T/named" || { echo "add the module to the table in DEVELOPERS.md (< is not in it)"; false; }
	# what it says of what only one file sees
	for pair in 'pcre2\.h pattern' 'yaml\.h> yaml' 'utf8proc\.h utf8' 'zlib\.h packed_gzip' 'zstd\.h packed_zstd'; do
		set -- $pair
		[ "$(grep -lE "include *<.*$1" tools/lib/*/*.[ch] tools/*.c)" = "tools/lib/base/$2.c" ] || { echo "$pair: $(grep -lE "include *<.*$1" tools/lib/*/*.[ch] tools/*.c)"; false; }
	done
	# a C file without a header is a part of the module that it is named for
	bad=0
	for file in tools/lib/*/*.c; do
		name=$(basename "$file" .c)
		dir=$(dirname "$file")
		[ -f "$dir/$name.h" ] || [ -f "$dir/${name%%_*}.h" ] || [ -f "$dir/${name%_*}.h" ] || [ -f "$dir/${dir##*/}_internal.h" ] || { echo "$file is of no module"; bad=1; }
	done
	[ "$bad" = 0 ]
}

@test "rooms: a file includes headers only of rooms that its row allows" {
	holds includes
	plant
	echo '#include "high/high.h"' >>tools/lib/low/low.c
	finds includes 'tools/lib/low/low.c:7: the room low may not include high/high.h'
	plant
	echo 'int inner(void);' >tools/lib/low/low_internal.h
	echo '#include "low/low_internal.h"' >>tools/lib/high/high.h
	finds includes 'low/low_internal.h is private to the room low'
	plant
	echo '#include "../high/high.h"' >>tools/lib/low/low.c
	finds includes 'write ../high/high.h as ROOM/NAME.h'
	report
}

@test "rooms: an object uses symbols only of rooms that its row allows" {
	holds symbols "$objects"
	plant
	printf 'int high(void);\nint low(void) { return high(); }\n' >tools/lib/low/low.c
	finds symbols 'low/low.o uses high of high/high.o; the room low may not'
	report
}

@test "rooms: no two objects use each other's symbols, directly or round about" {
	holds circles "$objects"
	holds circles "$objects/../samples"
	plant
	printf 'int high(void);\nint low(void) { return high(); }\n' >tools/lib/low/low.c
	finds circles 'low/low.o uses high of high/high.o, which leads back to it'
	finds circles 'high/high.o uses low of low/low.o, which leads back to it'
	plant
	printf 'int two(void);\nint low(void) { return two(); }\n' >tools/lib/low/low.c
	printf 'int three(void);\nint two(void) { return three(); }\n' >tools/lib/low/two.c
	printf 'int low(void);\nint three(void) { return low(); }\n' >tools/lib/low/three.c
	finds circles 'low/two.o uses three of low/three.o, which leads back to it'
	report
}

@test "rooms: every header compiles alone, without a warning" {
	holds headers "$objects"
	plant
	echo 'size_t how_long(void);' >>tools/lib/low/low.h
	finds_header 'tools/lib/low/low.h does not compile alone'
	plant
	echo 'static inline int least(int a, unsigned b) { return a < b; }' >>tools/lib/high/high.h
	finds_header 'tools/lib/high/high.h does not compile alone'
	report
}

# The tree's C files need not compile here.
finds_header() {
	rm -f tools/lib/*/*.c
	printf 'int none;\n' >tools/lib/low/none.c
	finds headers "$1"
}

@test "rooms: a C file includes its own header first" {
	holds own
	plant
	sed -i '1s/.*/#include "low\/low.h"/' tools/lib/high/high.c
	finds own 'tools/lib/high/high.c has first #include "low/low.h"'
	report
}

@test "rooms: a main has at most 250 lines, a function at most 60" {
	holds lengths
	plant
	awk 'BEGIN { for (i = 0; i < 246; i++) print "" }' >>tools/wy-high.c
	finds lengths 'tools/wy-high.c: 252 lines, more than 250'
	plant
	awk 'BEGIN { print "int longest(int a)\n{"; for (i = 0; i < 58; i++) print "\ta++;"; print "}" }' >>tools/lib/low/low.c
	finds lengths 'tools/lib/low/low.c:7: 61 lines, more than 60: int longest(int a)'
	report
}

@test "rooms: the files of tools/ include 2.2 project headers each at most, on average" {
	holds number
	plant
	awk 'BEGIN { for (i = 0; i < 12; i++) print "#include \"high/high.h\"" }' >>tools/wy-high.c
	finds number '17 includes of project headers in the 6 files of tools/, more than 2.2 a file'
	report
}

# Of the sample works' generator the test is `samples`.
@test "rooms: a unit test is named for the module that it tests" {
	n=0
	for file in tests/unit/*.c; do
		name=$(basename "$file" .c)
		n=$((n + 1))
		[ "$name" = samples ] || [ -n "$(find tools/lib -name "$name.[ch]")" ] || fail "$file: there is no module of that name"
		[ "$name" = samples ] || grep -qE "^#include \"[a-z]+/$name(_internal)?\.h\"" "$file" || grep -q "$name" "$file" || fail "$file does not use it"
	done
	[ "$n" -ge 60 ] || fail "only $n"
	report
}
