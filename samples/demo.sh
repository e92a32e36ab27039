#!/bin/sh
# demo.sh - installs missing packages, builds the tools, and prints a month's page of the sample works.
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
exec wy-month -H samples/house.yaml -b --month "${1:-2027-12}"
