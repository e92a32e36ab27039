# pages.sh DIR - writes the pages that browser.js looks at. The book is a copy outside of any repository, so that no commit is on a page.
set -eu
root=$(cd "$(dirname "$0")/../.." && pwd)
PATH="${WITHY_BIN:-$root/build/bin}:$PATH"
export PATH WITHY_TODAY=2027-12-31
mkdir -p "$1"
cp -R "$root/samples/book" "$root/samples/house.yaml" "$1"
cd "$1"
wy-month -b --month 2027-12 --as=html >month.html
wy-month -b --year 2027 --as=html >year.html
wy-month -b --charge K27-09 --as=html >charge.html
wy-month -b --charge K27-09 --as=html --sheet >sheet.html
sed "s/^works:.*/works: '<i>שלום \& Söhne 🏏 with a very long name that has no end and goes on'/" house.yaml >names.yaml
wy-month -H names.yaml -b --month 2027-12 --as=html >names.html
wy-board -q -b board
