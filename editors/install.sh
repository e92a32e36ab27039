#!/bin/sh
# install.sh [--remove] PREFIX - puts the editor files and completions where editors look for them
# below PREFIX, or takes them away. README.md beside it says what is left to do by hand.
# With --folders alone it prints the folders that it needs below PREFIX.
#
# Files are found by their folder. A folder that no line below names goes to share/withy/editors.
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
		case $(head -c 2 "$1") in
		'#!') install -m 755 "$1" "$2" ;;
		*) install -m 644 "$1" "$2" ;;
		esac
	fi
}

# link NAME PLACE: a link at PLACE, for a file that is known by the name of each command
link() {
	if [ -n "$folders" ]; then
		return
	elif [ -n "$remove" ]; then
		rm -f "$2"
	else
		ln -sf "$1" "$2"
	fi
}

# put_all FOLDER PLACE: all its files, but for templates, in folders as they are
put_all() {
	find "$1" -type f ! -name '*.in' ! -path '*/node_modules/*' | LC_ALL=C sort | while IFS= read -r file; do
		put "$file" "$2/${file#"$1"/}"
	done
}

for folder in */; do
	folder=${folder%/}
	case $folder in
	completions) ;;
	vim)
		put_all vim "$share/vim/vimfiles"
		put_all vim "$share/nvim/site"
		;;
	nano) put_all nano "$share/nano" ;;
	emacs) put_all emacs "$share/emacs/site-lisp" ;;
	kate) put_all kate "$share/org.kde.syntax-highlighting/syntax" ;;
	gtksourceview)
		put_all gtksourceview "$share/gtksourceview-4/language-specs"
		put_all gtksourceview "$share/gtksourceview-5/language-specs"
		;;
	git) put_all git "$share/withy/git" ;;
	*) put_all "$folder" "$share/withy/editors/$folder" ;;
	esac
done

# bash and fish look for a file named as the command. zsh finds all in one; Debian's zsh looks in the second folder.
tools=$(sed -n 's/^complete -F _withy //p' completions/bash/withy)
for folder in completions/*/; do
	case $folder in
	completions/bash/)
		put_all completions/bash "$share/bash-completion/completions"
		for tool in $tools; do link withy "$share/bash-completion/completions/$tool"; done
		;;
	completions/zsh/)
		put_all completions/zsh "$share/zsh/site-functions"
		put_all completions/zsh "$share/zsh/vendor-completions"
		;;
	completions/fish/)
		for tool in $tools; do put completions/fish/withy.fish "$share/fish/vendor_completions.d/$tool.fish"; done
		;;
	esac
done
