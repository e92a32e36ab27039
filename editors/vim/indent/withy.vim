" Books of Withy: every line starts at the left edge, but for a comment that goes on below another.
if exists('b:did_indent')
	finish
endif
let b:did_indent = 1

setlocal noautoindent nosmartindent indentexpr=WithyIndent(v:lnum) indentkeys=o,O,0#
let b:undo_indent = 'setlocal autoindent< smartindent< indentexpr< indentkeys<'

if exists('*WithyIndent')
	finish
endif

function WithyIndent(lnum) abort
	return getline(a:lnum) =~# '^\s*#' && getline(a:lnum - 1) =~# '^\s*#' ? indent(a:lnum - 1) : 0
endfunction
