" Types each line of the file $LINES at the end of the book $BOOK, with Ctrl-X Ctrl-O wherever that takes fewer keys, and
" writes to $COUNTS how many keys each took, Enter included. The completion is the plugin's, run by Vim itself.

" The parts of a line after which a completion can start anew.
function s:Parts(line) abort
	let parts = []
	let rest = a:line
	while !empty(rest)
		let part = matchstr(rest, '^[^ =,:]*[ =,:]\=')
		call add(parts, part)
		let rest = strpart(rest, len(part))
	endwhile
	return parts
endfunction

" What the line becomes when `keys` are typed at its end.
function s:Typed(before, keys) abort
	call setline('$', a:before)
	execute 'normal! GA' . a:keys
	return getline('$')
endfunction

" The keys for a part: its beginning and the completion, where this gives all of it and is shorter; else itself.
function s:Keys(before, part) abort
	let word = substitute(a:part, '[ ,:]$', '', '')
	let end = strpart(a:part, len(word))
	for typed in len(word) < 3 ? [] : range(0, len(word) - 3)
		let keys = strpart(word, 0, typed) . "\<C-x>\<C-o>"
		if s:Typed(a:before, keys) ==# a:before . word
			return keys . end
		endif
	endfor
	return a:part
endfunction

let s:counts = []
execute 'edit ' . fnameescape($BOOK)
for s:line in readfile($LINES)
	call append('$', '')
	let s:keys = ''
	let s:before = ''
	for s:part in s:Parts(s:line)
		let s:keys .= s:Keys(s:before, s:part)
		let s:before .= s:part
	endfor
	" all of them at once, as a person would
	call assert_equal(s:line, s:Typed('', s:keys))
	call add(s:counts, len(s:keys) + 1)
endfor
call writefile(s:counts, $COUNTS)
set nomodified
