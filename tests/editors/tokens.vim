" The lines of tests/cases/editors/tokens.json: every byte of each part has a group of its class. Then folding, indent and
" abbreviations.
let s:groups = {'date': 'Date', 'time': 'Time', 'event': 'Event', 'subject': 'Subject', 'field': 'Field', 'label': 'Label', 'number': 'Measure',
	\ 'unit': 'Unit', 'day': 'Day', 'word': 'Id', 'text': 'Text', 'comment': 'Remark\|Version', 'bad': 'Bad\%(Line\|Event\|Field\|Measure\)\|Measure\|Unit'}
let s:rows = json_decode(join(readfile('tests/cases/editors/tokens.json'), "\n"))
call setline(1, map(copy(s:rows), 'v:val[0]'))
set filetype=withy
for s:i in range(len(s:rows))
	let s:at = 0
	for [s:part, s:class] in s:rows[s:i][1]
		let s:from = stridx(s:rows[s:i][0], s:part, s:at)
		call assert_true(s:from >= 0, s:rows[s:i][0] . ': the test has no ' . s:part)
		let s:at = s:from + len(s:part)
		for s:byte in range(s:from, s:at - 1)
			let s:stack = map(synstack(s:i + 1, s:byte + 1), 'synIDattr(v:val, "name")')
			let s:name = empty(s:stack) ? '' : s:stack[-1]
			let s:want = s:class ==# 'bad' ? '^withyBad' : '^withy\%(' . s:groups[s:class] . '\)$'
			call assert_match(s:want, s:name, s:rows[s:i][0] . ': ' . s:part . ' byte ' . (s:byte + 1))
		endfor
	endfor
endfor

" Folding by day.
call deletebufline('%', 1, '$')
call setline(1, ['2026-03-05 seal L061', '2026-03-05 seal L062', '# about the 6th', '2026-03-06 move L061 into=a', '2026-03-06 seal L061', '', '2026-03-07 seal L061'])
normal! zx
call assert_equal([1, 1, 1, 1, 1, 0, 1], map(range(1, 7), 'foldlevel(v:val)'))
normal! zM
call assert_equal([1, 2], [foldclosed(1), foldclosed(4) == 4 ? 2 : 0])
call assert_match('^2026-03-06: 2 lines, move seal', foldtextresult(4))
normal! zR

" Indent and abbreviations.
call setline(1, '    2026-03-05 seal L061')
normal! gg==
call assert_equal('2026-03-05 seal L061', getline(1))
execute "normal Gotd nw seal L061 with=td\<Esc>"
call assert_match('^\d\{4}-\d\d-\d\d \d\d:\d\d seal L061 with=td$', getline('$'))
execute "normal Goyd seal L061\<Esc>"
call assert_equal(strftime('%Y-%m-%d', localtime() - 86400) . ' seal L061', getline('$'))

" The help page.
helptags editors/vim/doc
help withy-folding
call assert_equal('withy.txt', expand('%:t'))
call delete('editors/vim/doc/tags')
