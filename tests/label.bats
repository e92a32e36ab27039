# needs: librsvg2-bin zbar-tools chromium npm
# wy-label: labels whose codes are read back from the picture, and how it ends.

load lib/common

setup() { at_root; }

# reads ID WIDTH [OPTION...]: a label of that id, drawn on a sheet so many dots wide, reads back as just that
reads() {
	local id=$1 width=$2
	shift 2
	wy-label --as=svg "$@" -- "$id" >"$T/label.svg" && rsvg-convert -w "$width" "$T/label.svg" -o "$T/label.png" || fail "$id is not drawn"
	[ "$(zbarimg -q --raw "$T/label.png" 2>/dev/null)" = "$id" ] || fail "$* '$id' reads as '$(zbarimg -q --raw "$T/label.png" 2>/dev/null)'"
}

@test "label: every code reads back as its id" {
	case $bin in */san/*) return ;; esac
	for id in store/r1 K27-09 C016 T104 L001/12 'http://example.invalid/?a=1&b=<x>'; do reads "$id" 1240; done
	reads B0749 2480 --across 4 --down 12
	reads O-417 1240 --skip 11
	report
}

# The page of HTML as a browser prints it: the third and the last of thirteen labels, cut out of the sheets.
@test "label: the codes of a printed page read back" {
	case $bin in */san/*) return ;; esac
	awk 'BEGIN { for (i = 1; i <= 13; i++) printf "R%02d\track %d\n", i, i }' | wy-label >"$T/labels.html"
	node -e '
		const { chromium } = require(process.argv[1] + "/tests/oracles/node_modules/playwright-core");
		(async () => {
			const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox"] });
			const page = await browser.newPage();
			page.on("console", (m) => console.log(m.text()));
			await page.goto("file://" + process.argv[2] + "/labels.html");
			await page.pdf({ path: process.argv[2] + "/labels.pdf", preferCSSPageSize: true });
			await browser.close();
		})()' "$PWD" "$T" >"$T/said"
	[ ! -s "$T/said" ] || fail "the browser says: $(cat "$T/said")"
	pdfinfo "$T/labels.pdf" | grep -q '^Pages: *2$' || fail "$(pdfinfo "$T/labels.pdf")"
	pdftoppm -r 200 -f 1 -l 1 -x 63 -y 430 -W 764 -H 369 -png -singlefile "$T/labels.pdf" "$T/third"
	pdftoppm -r 200 -f 2 -l 2 -x 63 -y 63 -W 764 -H 369 -png -singlefile "$T/labels.pdf" "$T/last"
	[ "$(zbarimg -q --raw "$T/third.png" 2>/dev/null)" = R03 ] || fail "the third reads as $(zbarimg -q --raw "$T/third.png" 2>/dev/null)"
	[ "$(zbarimg -q --raw "$T/last.png" 2>/dev/null)" = R13 ] || fail "the last reads as $(zbarimg -q --raw "$T/last.png" 2>/dev/null)"
	pdftotext "$T/labels.pdf" - | grep -qx 'rack 13' || fail 'no text below an id'
	report
}

@test "label: texts are texts, and fit" {
	printf 'A1\t<b> & "x"\t\tthree\tfour\tfive\n\n  \nB2\r\n%s\n' "$(printf 'a%.0s' $(seq 60))" >"$T/in"
	status 0 wy-label --as=svg <"$T/in"
	grep -qF '&lt;b&gt; &amp; &quot;x&quot;</text>' "$T/out" || fail "$(cat "$T/out")"
	grep -qF '>four</text>' "$T/out" || fail 'no third text'
	! grep -qF '>five</text>' "$T/out" || fail 'a fourth text'
	[ "$(grep -c '<path ' "$T/out")" = 3 ] || fail 'empty lines are labels'
	grep -qF '>B2</text>' "$T/out" || fail 'a line end of another system is in an id'
	# an id that is too long for a line is in several, and whole
	for id in a-long-name/of-a-rack/that-goes-on-0001 "$(seq -s '' 99)"; do
		for sheet in '' '--across=4 --down=12'; do
			# shellcheck disable=SC2086
			status 0 wy-label --as=svg $sheet "$id"
			[ "$(sed -n 's/^<text .*>\(.*\)<.text>$/\1/p' "$T/out" | tr -d '\n')" = "$id" ] || fail "$sheet $id is cut: $(grep '^<text' "$T/out")"
		done
	done
	report
}

@test "label: wrong use is 2 and says why, nothing is 1" {
	status 1 wy-label </dev/null
	[ ! -s "$T/out" ] && grep -qxF 'wy-label: there is no id; give some, or a line of standard input for each' "$T/err" || fail "no id: $(cat "$T/out" "$T/err")"
	while IFS='|' read -r call why; do
		eval "status 2 wy-label $call" </dev/null
		grep -qF -e "$why" "$T/err" || fail "$call: $(cat "$T/err")"
	done <<-'END'
	--skip 12 A|--skip=12 leaves no place on a sheet of 12 labels
	--across 5 A|--across
	--as=svg $(seq 13)|13 labels take 2 sheets; --as=svg is one sheet; use --as=html
	$(printf "a%.0s" $(seq 3000))|cannot be a QR code
	Ō1|cannot be a QR code; write an id of at most 200 letters and digits of ASCII
	END
	printf 'A\n\n\tb\n' | status 2 wy-label || :
	grep -qF "standard input:3: '' cannot be a QR code" "$T/err" || fail "the line of a wrong id: $(cat "$T/err")"
	printf 'A\nŌ1\n' | status 2 wy-label --as=svg || :
	grep -qF "standard input:2: 'Ō1' cannot be a QR code" "$T/err" || fail "the line of a wrong id: $(cat "$T/err")"
	got=0
	wy-label A >/dev/full 2>"$T/err" || got=$?
	[ "$got" = 2 ] || fail "a full disk: $got"
	report
}
