# The house file: the reader's problems (golden files named after the problem), its page and its
# schema (both made from spec/house-keys.yaml), and the schema against the reader.

load lib/common

setup() {
	at_root
	B=${B:-build}
}

need_npm() {
	[ -d tests/oracles/node_modules/ajv ] || [ -z "$WITHY_QUICK" ] || skip "the npm packages are not installed (quick run)"
}

@test "house: tables, look-ups, defaults, finding the file" {
	"$B/unit/house"
}

@test "house: each bad file gives its problems, with place and correction" {
	bad=0
	for file in tests/cases/house/house-*.yaml; do
		"$B/unit/house" "$file" >"$T/out" && status=0 || status=$?
		cmp "$T/out" "${file%.yaml}.want" || { diff "$T/out" "${file%.yaml}.want" || bad=1; }
		want=1
		grep -q ' error: ' "$T/out" || want=0
		[ "$status" = "$want" ] || { echo "$file: status $status, not $want"; bad=1; }
	done
	[ "$bad" = 0 ]
}

@test "house: each file shows the problem that it is named after, and that one alone" {
	bad=0
	for file in tests/cases/house/house-*.want; do
		name=${file##*/}
		name=${name%%.*}
		[ -s "$file" ] || { echo "$file is empty"; bad=1; }
		# house-many follows two hundred others
		[ "$name" = house-many ] && grep -q ' -- house-many$' "$file" && continue
		grep -v " -- $name\$" "$file" && { echo "of $file"; bad=1; }
	done
	[ "$bad" = 0 ]
}

@test "house: every problem of the page has a file that shows it" {
	bad=0
	awk '/^problems:/ { on = 1 } on && /^  house-/ { sub(":", "", $1); print $1 }' spec/house-keys.yaml >"$T/problems"
	[ "$(wc -l <"$T/problems")" -ge 20 ]
	while read -r name; do
		[ -s "tests/cases/house/$name.yaml" ] || ls tests/cases/house/"$name".*.yaml >"$T/ls" || { echo "$name has none"; bad=1; }
	done <"$T/problems"
	[ "$bad" = 0 ]
}

@test "house: good files, the example among them, have no problems" {
	for file in tests/cases/house/good*.yaml spec/house.example.yaml samples/house.yaml; do
		[ -e "$file" ] || continue
		"$B/unit/house" "$file" >"$T/out"
		cmp "$T/out" /dev/null
	done
}

@test "house: the page and the schema are those of the key table" {
	"$B/gen/make-house" schema spec/house-keys.yaml >"$T/schema"
	cmp "$T/schema" spec/house.schema.json
	"$B/gen/make-house" page spec/house-keys.yaml <spec/house.5 >"$T/page"
	cmp "$T/page" spec/house.5
	mandoc -T lint -W warning spec/house.5
}

@test "house: the example of the page can be taken out of it and read" {
	awk '/made: example/ { on = 1; next } /made: end/ { on = 0 } on' spec/house.5 | sed 's/\\e/\\/g' >"$T/example.yaml"
	cmp "$T/example.yaml" spec/house.example.yaml
	"$B/unit/house" "$T/example.yaml"
}

@test "house: the example uses every key there is" {
	need_npm
	node tests/oracles/house.js cover spec/house-keys.yaml spec/house.example.yaml >"$T/out"
	cmp "$T/out" /dev/null
}

# What single values show, the schema shows; what takes the whole file, only the reader does.
@test "house: the schema and the reader agree about what single values can show" {
	need_npm
	for file in tests/cases/house/good*.yaml spec/house.example.yaml samples/house.yaml; do
		[ ! -e "$file" ] || echo "good $file"
	done >"$T/want"
	for file in tests/cases/house/house-*.yaml; do
		case ${file##*/} in
		house-yaml.*) ;;
		house-kind*|house-key*|house-unquoted*|house-id.*|house-id-twice*|house-value*|house-word*|house-range*|house-date*|house-type-letter*)
			echo "bad $file" ;;
		*) echo "good $file" ;;
		esac
	done >>"$T/want"
	node tests/oracles/house.js judge spec/house.schema.json $(cut -d' ' -f2 "$T/want") >"$T/out"
	diff "$T/want" "$T/out"
	[ "$(grep -c ^bad "$T/want")" -ge 10 ]
}

@test "house: four probes near the target make a charge ready under the example" {
	cat >"$T/book.wy" <<-'END'
	2026-06-01 cleave L061 tree=T001 count=SH:200 into=yard/b1
	2026-06-02 08:00 load K26-05 kiln=north lot=L061 at=yard/b1 count=200
	2026-06-02 09:00 probe K26-05 in=a:L061,b:L061,c:L061,d:L061 mc=a:26%,b:24%,c:27%,d:25% wood=20C meter=pin2
	2026-06-20 09:00 probe K26-05 mc=a:10.4%,b:10%,c:10.7%,d:10.2% wood=20C meter=pin2
	2026-06-25 09:00 probe K26-05 mc=a:9.3%,b:9%,c:9.4%,d:9.1% wood=20C meter=pin2
	2026-06-27 09:00 probe K26-05 mc=a:9.2%,b:8.9%,c:9.2%,d:9.0% wood=20C meter=pin2
	END
	status 0 wy-dry -H spec/house.example.yaml --on=2026-06-28 --as=tsv --columns=charge,verdict "$T/book.wy"
	grep -qx "$(printf 'K26-05\tready')" "$T/out" || { cat "$T/out" "$T/err"; false; }
	# with the share and the confidence that take 8 probes or more nobody can know, and the house check says so
	sed 's/^  share: 60%/  share: 90%/; s/^  sure: 80%/  sure: 95%/' spec/house.example.yaml >"$T/strict.yaml"
	line=$(grep -n '^  share:' "$T/strict.yaml" | cut -d: -f1)
	status 2 wy-check -H "$T/strict.yaml" "$T/book.wy"
	grep -q "^$T/strict.yaml:$line:10: error: 4 probes can never show this proportion of the pieces; put 8 or more in and write probes: 8, " "$T/out" "$T/err" || { cat "$T/out" "$T/err"; false; }
	sed -i 's/^  probes: 4/  probes: 8/' "$T/strict.yaml"
	"$B/unit/house" "$T/strict.yaml" >"$T/out"
	cmp "$T/out" /dev/null
	status 0 wy-dry -H "$T/strict.yaml" --on=2026-06-28 --as=tsv --columns=charge,verdict "$T/book.wy"
	grep -qx "$(printf 'K26-05\tunknown')" "$T/out" || { cat "$T/out" "$T/err"; false; }
}

@test "house: damaged copies do no harm" {
	"$B/unit/house" --mutants spec/house.example.yaml 3000
}
