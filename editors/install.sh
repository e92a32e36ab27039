#!/bin/sh
# install.sh [--remove] PREFIX - puts the editor files and completions where editors look for them
# below PREFIX, or takes them away. README.md beside it says what is left to do by hand.
# With --folders alone it prints the folders that it needs below PREFIX.
set -eu
cd "$(dirname "$0")"

remove=
if [ "${1:-}" = --remove ]; then
	remove=1
	shift
fi
folders=
if [ "${1:-}" = --folders ]; then
	folders=1
	shift
	set -- . "$@"
fi
[ $# -eq 1 ] || { echo 'usage: install.sh [--remove] PREFIX' >&2; exit 2; }
share=$1/share

# put FILE PLACE: the file, or its absence
put() {
	if [ -n "$folders" ]; then
		dirname "$2" | sed 's|^\./||'
	elif [ -n "$remove" ]; then
		rm -f "$2"
	else
		install -d "$(dirname "$2")"
		install -m 644 "$1" "$2"
	fi
}

for file in ftdetect ftplugin syntax compiler autoload; do
	put "vim/$file/withy.vim" "$share/vim/vimfiles/$file/withy.vim"
	put "vim/$file/withy.vim" "$share/nvim/site/$file/withy.vim"
done
for file in indent/withy.vim doc/withy.txt; do
	put "vim/$file" "$share/vim/vimfiles/$file"
	put "vim/$file" "$share/nvim/site/$file"
done
put emacs/withy-mode.el "$share/emacs/site-lisp/withy-mode.el"
put kate/withy.xml "$share/org.kde.syntax-highlighting/syntax/withy.xml"
put gtksourceview/withy.lang "$share/gtksourceview-4/language-specs/withy.lang"
put micro/withy.yaml "$share/withy/micro/withy.yaml"
put nano/withy.nanorc "$share/nano/withy.nanorc"

# bash looks for a file named as the command.
completions=$share/bash-completion/completions
put completions/bash/withy "$completions/withy"
for tool in $(sed -n 's/^complete -F _withy //p' completions/bash/withy); do
	if [ -n "$folders" ]; then
		continue
	elif [ -n "$remove" ]; then
		rm -f "$completions/$tool"
	else
		ln -sf withy "$completions/$tool"
	fi
done
