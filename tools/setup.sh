#!/bin/sh
# setup.sh [build|tests|all] - installs what Withy's build and tests need and is missing.
#
# build  what `make` needs; tests  what tests/run.sh needs as well (all, the default, is both).
# On Debian and its kin it installs the packages, as root or through sudo; elsewhere it names
# them and ends with status 1. It says what it will install, and with which rights, before it does, and
# asks nothing. Nothing is installed when nothing is missing, so that it works without a network once
# the packages are in.
set -eu
cd "$(dirname "$0")/.."

build='gcc make libc6-dev libyaml-dev libpcre2-dev libutf8proc-dev libgsl-dev libminizip-dev zlib1g-dev libzstd-dev libexpat1-dev libqrencode-dev libjansson-dev libreadline-dev libncurses-dev tzdata'
tests='bats python3 perl libexcel-writer-xlsx-perl clang mandoc git jq sqlite3 vim-nox neovim emacs-nox elpa-eglot libkf5syntaxhighlighting-tools gir1.2-gtksource-4 python3-gi micro nano tmux nodejs npm gawk mawk bash-completion zsh fish bsdutils groff-base pkg-config dpkg-dev debhelper lintian fakeroot diffutils patch procps r-base-core r-cran-survival r-cran-coin r-cran-lpsolve graphviz diction strace chromium zstd parallel openssh-server openssh-client iproute2 valgrind libxml2-utils librsvg2-bin zbar-tools fonts-dejavu-core fonts-dejavu-extra fonts-noto-color-emoji poppler-utils'

missing() {
	for package in "$@"; do
		dpkg-query -W -f '${Status}\n' "$package" 2>/dev/null | grep -q 'ok installed' || provided "$package" || printf '%s ' "$package"
	done
}

# Node and npm may have come from elsewhere than Debian.
provided() {
	case $1 in
	nodejs) command -v node >/dev/null 2>&1 ;;
	npm) command -v npm >/dev/null 2>&1 ;;
	*) false ;;
	esac
}

# How the commands below get their rights.
rights() {
	if [ "$(id -u)" -eq 0 ]; then echo 'as root'; else echo 'as root through sudo'; fi
}

as_root() {
	if [ "$(id -u)" -eq 0 ]; then
		"$@"
	elif command -v sudo >/dev/null 2>&1; then
		sudo "$@"
	else
		echo "setup.sh: packages are missing and there is neither root nor sudo: $wanted" >&2
		exit 1
	fi
}

case ${1:-all} in
build) packages=$build ;;
tests | all) packages="$build $tests" ;;
*)
	echo "usage: setup.sh [build|tests|all]" >&2
	exit 2
	;;
esac

if ! command -v dpkg-query >/dev/null 2>&1; then
	echo "setup.sh: this is not Debian; please see that these are there: $packages" >&2
	exit 1
fi
# shellcheck disable=SC2086
wanted=$(missing $packages)
if [ -n "$wanted" ]; then
	echo "setup.sh: installs these Debian packages with apt-get, $(rights): $wanted" >&2
	as_root apt-get update -q >&2
	# shellcheck disable=SC2086
	as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $wanted >&2
fi
if [ "${1:-all}" != build ] && ! cmp -s tests/oracles/package-lock.json tests/oracles/node_modules/.installed; then
	echo "setup.sh: installs the npm packages of tests/oracles/package-lock.json into tests/oracles/node_modules, as $(id -un), without their scripts" >&2
	# not `npm ci`: it refuses a registry that lacks the packages for other processors
	(cd tests/oracles && npm install --no-save --no-audit --no-fund --ignore-scripts >&2)
	cp tests/oracles/package-lock.json tests/oracles/node_modules/.installed
fi
