#!/bin/sh
# pages_text.sh PAGE - the page's running text as a reader sees it, without its literal blocks and commands.
awk '/^\.Bd -literal/ { on = 1 } !on && !/^\.D[l1]/ { print } /^\.Ed/ { on = 0 }' "$1" |
	mandoc -T utf8 -O width=400 /dev/stdin | sed 's/.\x08//g'
