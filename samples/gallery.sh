#!/bin/sh
# gallery.sh [FOLDER] - writes FOLDER/index.html (build/gallery): a picture of each kind of the sample works, with the
# pipeline that draws it and the figures that it shows. The tools must be built.
set -eu
here=$(cd "$(dirname "$0")/.." && pwd)
to=${1:-$here/build/gallery}
mkdir -p "$to"
to=$(cd "$to" && pwd)
cd "$here/samples"
PATH="${WITHY_BIN:-$here/build/bin}:$PATH"
WITHY_TODAY=2027-12-31
export PATH WITHY_TODAY
html='s/&/\&amp;/g;s/</\&lt;/g;s/>/\&gt;/g'

# picture KIND PIPELINE: the commands that print the tables, without wy-chart
picture() {
	sh -c "$2" >"$to/table"
	question=$(wy-chart --kinds | awk -F '\t' -v kind="$1" '$1 == kind { print $2 }')
	printf '<section>\n<h2>%s</h2>\n' "$(printf '%s' "$question" | sed "$html")"
	wy-chart "$1" --ids="$1" "$to/table"
	printf '<pre class="pipeline">%s | wy-chart %s</pre>\n' "$(printf '%s' "$2" | sed "$html")" "$1"
	printf '<details><summary>The figures</summary><pre>%s</pre></details>\n</section>\n' "$(cut -c 1-400 "$to/table" | head -n 400 | sed "$html")"
}

{
	cat <<'HEAD'
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>Pictures of the sample works</title>
<style>
:root { color-scheme: light dark; --page: #f3f1e8; --ink: #23291f; --soft: #5b6255 }
@media (prefers-color-scheme: dark) { :root { --page: #10120f; --ink: #e9e7dc; --soft: #aeb3a5 } }
body { margin: 0 auto; max-width: 760px; padding: 16px; background: var(--page); color: var(--ink); font: 15px/1.45 "DejaVu Sans", system-ui, sans-serif }
section { margin: 0 0 40px }
h1 { font-size: 22px }
h2 { font-size: 15px; font-weight: normal; color: var(--soft); margin: 0 0 8px }
h2::first-letter { text-transform: uppercase }
svg { display: block; max-width: 100%; height: auto }
pre { overflow-x: auto; font-size: 12px; white-space: pre-wrap }
details pre { white-space: pre; max-height: 300px; overflow: auto }
</style>
</head>
<body>
<h1>Pictures of the sample works</h1>
<p>The works is invented. Each picture is drawn from what Withy’s filters print on 31 December 2027, by the commands below it.</p>
HEAD
	picture drying '{ wy-dry -b --charge K27-09 --curve --on 2027-12-20; wy-dry -b --charge K27-09 --on 2027-12-20; wy-flat -b set; }'
	picture orders '{ wy-stock -b --orders; wy-stock -b --free; }'
	picture store '{ wy-air -b --timed --by place,day --place store/r1 --from 2027-01-01; wy-air -b --outlook; wy-moist -b --all --by place,day; }'
	picture steps '{ wy-yield -b; wy-yield -b --losses; }'
	picture grades 'wy-grade -b --by supplier'
	picture ends 'wy-dry -b --all'
	picture weights '{ wy-weigh -b --histogram; wy-stock -b --orders --on 2026-05-20; wy-flat -b order; }'
	picture ages 'wy-stock -b --by age,form --value'
	picture readings 'wy-air -b --timed --by place,day --place south --from 2027-10-05 --to 2027-11-15'
	picture origin 'wy-trace -b B0635'
	picture cost 'wy-cost -b --by supplier'
	picture forecasts 'wy-dry -b --score --each'
	printf '</body>\n</html>\n'
} >"$to/index.new"
rm -f "$to/table"
mv "$to/index.new" "$to/index.html"
