# renew.sh - draws the pictures of this folder again.
set -eu
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
sh "$(dirname "$0")/pages.sh" "$work/works"
node "$(dirname "$0")/browser.js" "$work/works" --renew
