" Detection, settings, completion and :make. The shell made the files in $BOOKS.

function s:TypeOf(path) abort
	execute 'edit' fnameescape(a:path)
	return &filetype
endfunction

execute 'cd' fnameescape($BOOKS)
call assert_equal('withy', s:TypeOf('named.wy'))
call assert_equal('withy', s:TypeOf('first-line'))
call assert_equal('withy', s:TypeOf('first-line.txt'))
call assert_notequal('withy', s:TypeOf('remark.txt'))

" Settings, and that they go with the file type.
edit named.wy
call assert_equal(':#', &l:comments)
call assert_equal('# %s', &l:commentstring)
call assert_equal(0, &l:textwidth)
call setline(1, '2026-06-09 08:10 load K26-05 kiln=north')
normal! 1G03wyiw
call assert_equal('10', @@)
normal! 1G03Wyiw
call assert_equal('K26-05', @@)
set filetype=text
call assert_notmatch('wy-check', &l:makeprg)
call assert_equal('', &l:omnifunc)
edit!

" Completion: what it offers behind a beginning.
function s:Offers(line) abort
	set virtualedit=onemore
	call setline('$', a:line)
	call cursor('$', len(a:line) + 1)
	let start = withy#Complete(1, '')
	if start < 0
		return start
	endif
	" Vim takes the beginning away before it asks.
	call setline('$', strpart(a:line, 0, start))
	call cursor('$', start + 1)
	let found = withy#Complete(0, strpart(a:line, start))
	return map(found, 'type(v:val) == v:t_dict ? v:val.word : v:val')
endfunction

call setline(1, ['2026-03-03 cleave L061 tree=T061 count=SH:18 cull=knot:1,shake:2 into=yard/b1',
	\ '2026-03-05 seal L061 with=wax by=jo', '2026-03-06 seal L062 with=wax by=mk', ''])
call assert_equal([strftime('%Y-%m-%d'), '2026-03-06'], s:Offers(''))
call assert_equal(['seal', 'sell', 'set'], s:Offers('2026-03-07 se'))
call assert_equal(['seal', 'sell', 'set'], s:Offers('2026-03-07 10:20 se'))
call assert_equal(['L062', 'L061'], s:Offers('2026-03-07 seal '))
call assert_equal(['with=', 'by=', 'doc='], s:Offers('2026-03-07 seal L061 '))
call assert_equal(['by=', 'doc='], s:Offers('2026-03-07 seal L061 with=wax '))
call assert_equal(['to=', 'type='], sort(s:Offers('2026-03-07 sell L061 t')))
call assert_equal(['mk', 'jo'], s:Offers('2026-03-07 seal L061 by='))
call assert_equal(['knot', 'shake'], s:Offers('2026-03-07 scrap L061 cull='))
call assert_equal(['shake'], s:Offers('2026-03-07 scrap L061 cull=knot:1,s'))
call assert_equal(['butt', 'tip'], s:Offers('2026-07-07 judge L061/01 handle-end='))
call assert_equal(['cleft', 'blade', 'handle', 'bat'], s:Offers('2026-07-07 move L061 form='))
call assert_equal(-3, s:Offers('# se'))
call assert_equal(-3, s:Offers('2026-03-07 seal L061 # se'))
" Through the keys as well.
call setline('$', '2026-07-07 judge L061/01 handle-end=b')
execute "normal! GA\<C-X>\<C-O>\<Esc>"
call assert_equal('2026-07-07 judge L061/01 handle-end=butt', getline('$'))

" The works' own words, as wy-check tells them.
if !empty($OWN_EVENT)
	call assert_true(index(s:Offers('2026-03-07 ' . $OWN_EVENT[:3]), $OWN_EVENT) >= 0)
	call assert_equal([$OWN_FIELD . '='], s:Offers('2026-03-07 ' . $OWN_EVENT . ' X1 ' . $OWN_FIELD[:1]))
	call setline('$', '2026-03-07 ' . $OWN_EVENT . ' X1 ' . $OWN_FIELD . '=1')
	call assert_equal('withyEvent', synIDattr(synID(line('$'), 12, 0), 'name'))
	call assert_equal('withyField', synIDattr(synID(line('$'), 16 + len($OWN_EVENT), 0), 'name'))
endif
edit!

" :make gives the checker's messages their places.
edit bad.wy
silent make
let s:at = [line('.') . '', col('.') . '']
let s:found = map(filter(getqflist(), 'v:val.valid'), '[bufname(v:val.bufnr), v:val.lnum, v:val.col, v:val.type, v:val.text]')
let s:wanted = map(readfile('bad.expect'), 'split(v:val, "\t")')
call assert_equal(len(s:wanted), len(s:found), string(getqflist()))
for s:i in range(min([len(s:wanted), len(s:found)]))
	let [s:line, s:col, s:type, s:text] = s:wanted[s:i]
	call assert_equal(['bad.wy', str2nr(s:line), str2nr(s:col), s:type], s:found[s:i][:3])
	call assert_match(s:text, s:found[s:i][4])
endfor
if len(s:found)
	call assert_equal(s:wanted[0][:1], s:at)
endif
