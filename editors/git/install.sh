#!/bin/sh
# install.sh [--remove] [REPOSITORY] - has git merge and show the books of a repository by their entries, and check
# them before each commit. Run it once in every clone.
#
# It sets merge.withy and diff.withy in the clone's own configuration, adds a line to .gitattributes (to be
# committed: it is for all clones) and puts the hook pre-commit in place. A hook that is there already is left as
# it is. --remove takes out the configuration and the hook; .gitattributes is left, for the other clones.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
remove=
if [ "${1:-}" = --remove ]; then
	remove=1
	shift
fi
[ $# -le 1 ] || { echo 'usage: install.sh [--remove] [REPOSITORY]' >&2; exit 2; }
cd "${1:-.}"
top=$(git rev-parse --show-toplevel) || exit 2
cd "$top"
hook=$(git rev-parse --git-path hooks)/pre-commit

if [ -n "$remove" ]; then
	git config --remove-section merge.withy 2>/dev/null || :
	git config --remove-section diff.withy 2>/dev/null || :
	if cmp -s "$here/pre-commit" "$hook"; then rm "$hook"; fi
	exit 0
fi
for tool in wy-merge wy-check; do
	command -v $tool >/dev/null 2>&1 || { echo "install.sh: $tool is not installed; install Withy first" >&2; exit 1; }
done

# Where wy-merge cannot run, git merges by lines, and the file counts as a conflict, for somebody to look at.
git config merge.withy.name 'entries of a book'
git config merge.withy.driver 'wy-merge --replace --mark-size=%L --path=%P %O %A %B; s=$?; [ $s -le 1 ] || { git merge-file --marker-size=%L -L ours -L base -L theirs %A %O %B; s=1; }; exit $s'

# The title of a part of a diff is the charge, lot or bat of the last entry above it.
events=$(cd / && wy-check --events --as=tsv --no-header --columns=event,use,words | awk -F'\t' '
	$2 == "about" && $3 ~ /charge|lot|bat/ && $3 !~ /tree|order/ { printf "%s%s", sep, $1; sep = "|" }')
git config diff.withy.xfuncname "^[-0-9]{10} [ 0-9:Z+-]*(($events) +[^ ]+)"

grep -qxF "$(cat "$here/gitattributes")" .gitattributes 2>/dev/null || cat "$here/gitattributes" >>.gitattributes
if [ -e "$hook" ]; then
	cmp -s "$here/pre-commit" "$hook" || echo "install.sh: there is a hook already; to check the books, call this from it: $here/pre-commit" >&2
else
	mkdir -p "$(dirname "$hook")"
	cp "$here/pre-commit" "$hook"
	chmod +x "$hook"
fi
echo 'install.sh: books are merged by entries in this clone; commit .gitattributes, and run this in every other clone'
