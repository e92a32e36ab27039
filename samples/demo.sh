#!/bin/sh
# demo.sh - installs missing packages, builds the tools, prints a month's page of the sample works, and writes it with pictures.
set -eu
cd "$(dirname "$0")/.."
sh tools/setup.sh build
mkdir -p build
make -j2 all >build/demo.log 2>&1 || {
	cat build/demo.log >&2
	exit 1
}
PATH="$PWD/build/bin:$PATH"
export PATH
month=${1:-2027-12}
wy-month -H samples/house.yaml -b --month "$month"
mkdir -p build/demo
wy-month -H samples/house.yaml -b --month "$month" --as=html >build/demo/month.html
printf '\nThe same with pictures: %s/build/demo/month.html\n' "$PWD"
