" What stands in a line of a book, by place: each row is a line and, in their order, parts of it
" with the syntax group that every byte of the part must have. '' is none.
let s:rows = [
	\ ['2026-03-03 10:20 cleave  L061   tree=T061 rolls=2 count=SH:18,S6:9 cull=knot:1 into=yard/b1 by=mk',
	\  [['2026-03-03', 'Date'], [' ', ''], ['10:20', 'Time'], ['cleave', 'Event'], ['  ', ''], ['L061', 'Subject'],
	\   ['tree', 'Field'], ['=', 'Equals'], ['T061', 'Id'], ['rolls', 'Field'], ['2', 'Measure'], ['count', 'Field'],
	\   ['SH', 'Label'], [':', 'Mark'], ['18', 'Measure'], [',', 'Mark'], ['S6', 'Label'], ['9', 'Measure'],
	\   ['cull', 'Field'], ['knot', 'Label'], ['1', 'Measure'], ['into', 'Field'], ['yard/b1', 'Id'], ['by', 'Field'], ['mk', 'Id']]],
	\ ['2026-06-09T08:10 load K26-05', [['2026-06-09T08:10 load K26-05', 'BadLine']]],
	\ ['2026-13-09 load K26-05', [['2026-13-09 load K26-05', 'BadLine']]],
	\ ['hello', [['hello', 'BadLine']]],
	\ ['  2026-06-09 08:10:30+12:00 load K26-05 kiln=north', [['2026-06-09', 'Date'], ['08:10:30+12:00', 'Time'], ['load', 'Event']]],
	\ ['2026-06-09 08:10Z air store/r1 temp=-2.5C rh=81%', [['08:10Z', 'Time'], ['store/r1', 'Subject'],
	\   ['-2.5', 'Measure'], ['C', 'Unit'], ['rh', 'Field'], ['81', 'Measure'], ['%', 'Unit']]],
	\ ['2026-06-09 9:30 air north rh=81%', [['9:30', 'BadEvent']]],
	\ ['2026-06-09 24:00 air north rh=81%', [['24:00', 'BadEvent']]],
	\ ['2026-03-05 seel L061 with=wax', [['seel', 'BadEvent'], ['L061', 'Subject'], ['with', 'Field']]],
	\ ['2026-03-05 sealed L061', [['sealed', 'BadEvent']]],
	\ ['2026-03-05 seal with=wax', [['with=wax', 'BadSubject']]],
	\ ['2026-03-05 seal L0/6/1', [['L0/6/1', 'BadSubject']]],
	\ ['2026-03-05 seal L061 wth=wax by=jo', [['L061', 'Subject'], ['wth=wax', 'BadField'], ['by', 'Field'], ['jo', 'Id']]],
	\ ['2026-03-05 seal L061 wax by=jo', [['wax', 'BadField'], ['by', 'Field']]],
	\ ['2026-03-05 seal L061 # with=wax 12% "so"', [['L061', 'Subject'], ['# with=wax 12% "so"', 'Remark']]],
	\ ['2026-06-18 07:50 probe K26-05 mc=a:16.4%,b:30%+,c:-,d:6%- wood=29C meter=pin2/cane',
	\  [['mc', 'Field'], ['a', 'Label'], [':', 'Mark'], ['16.4', 'Measure'], ['%', 'Unit'], [',', 'Mark'], ['b', 'Label'],
	\   ['30', 'Measure'], ['%', 'Unit'], ['+', 'Beyond'], [',', 'Mark'], ['c', 'Label'], ['-', 'Absent'], [',', 'Mark'],
	\   ['6', 'Measure'], ['%', 'Unit'], ['-', 'Beyond'], ['wood', 'Field'], ['29', 'Measure'], ['C', 'Unit'], ['pin2/cane', 'Id']]],
	\ ['2026-06-09 order O-311 count=SH/1:6 mass=2lb8oz..2lb10.5oz due=2026-10-15 to=harbour-cc',
	\  [['O-311', 'Subject'], ['SH/1', 'Label'], ['6', 'Measure'], ['2', 'Measure'], ['lb', 'Unit'], ['8', 'Measure'], ['oz', 'Unit'],
	\   ['..', 'Range'], ['2', 'Measure'], ['lb', 'Unit'], ['10.5', 'Measure'], ['oz', 'Unit'], ['2026-10-15', 'Day'], ['harbour-cc', 'Id']]],
	\ ['2026-10-31 cost south kind=power energy=980kWh price=284.20NZD over=2026-10-01..2026-10-31 doc=M-1026',
	\  [['980', 'Measure'], ['kWh', 'Unit'], ['284.20', 'Measure'], ['NZD', 'Unit'], ['2026-10-01', 'Day'], ['..', 'Range'],
	\   ['2026-10-31', 'Day'], ['doc', 'Field'], ['M-1026', 'Id']]],
	\ ['2026-07-06 move L1 at=a grade=- form=blade count=8..', [['grade', 'Field'], ['-', 'Absent'], ['8', 'Measure'], ['..', 'Range']]],
	\ ['2026-07-07 14:05 judge M26-05/01 handle-end=butt mass=1640g', [['handle-end', 'Field'], ['butt', 'Id'], ['1640', 'Measure'], ['g', 'Unit']]],
	\ ['2028-02-29 note store/r1 text="re-lined, # \"north\" a=b" by=jo # seen',
	\  [['text', 'Field'], ['"re-lined, # ', 'Text'], ['\"', 'Escape'], ['north', 'Text'], ['by', 'Field'], ['# seen', 'Remark']]],
	\ ['2028-02-29 note store/r1 text="never ended by=jo', [['"never ended by=jo', 'OpenText']]],
	\ ['# opening stock', [['# opening stock', 'Remark']]],
	\ ['   # blanks before', [['# blanks before', 'Remark']]],
	\ ['#! incomplete', [['#! incomplete', 'Broken']]],
	\ ['# withy 1', [['# withy 1', 'Remark']]],
	\ ['2026-03-05 seal L061 # intended stock-short: two coats', [['# intended ', 'Intended'], ['stock-short', 'Rule'], [' two coats', 'Remark']]],
	\ ['2026-03-05 seal L061 # intended line-twice, stock-short : two', [['# intended ', 'Intended'], ['line-twice', 'Rule'], [', ', 'Intended'],
	\   ['stock-short', 'Rule'], [' :', 'Intended'], [' two', 'Remark']]],
	\ ['2026-03-05 seal L061 # intended stock-shrt: two coats', [['stock-shrt', 'BadRule']]],
	\ ['2026-03-05 seal L061 # intended it to dry', [['# intended it to dry', 'Remark']]],
	\ ]

function s:Check(lnum, line, parts) abort
	let at = 0
	for [part, group] in a:parts
		let from = stridx(a:line, part, at)
		call assert_true(from >= 0, a:line . ': the test has no ' . part)
		let at = from + len(part)
		for byte in range(from, at - 1)
			let name = synIDattr(synID(a:lnum, byte + 1, 0), 'name')
			call assert_equal(group ==# '' ? '' : 'withy' . group, name, a:line . ': byte ' . (byte + 1))
		endfor
	endfor
endfunction

" The line that names the version counts only where it is the first.
call setline(1, ['# withy 1'] + map(copy(s:rows), 'v:val[0]'))
set filetype=withy
call s:Check(1, '# withy 1', [['# withy 1', 'Version']])
for s:i in range(len(s:rows))
	call s:Check(s:i + 2, s:rows[s:i][0], s:rows[s:i][1])
endfor

" Nothing of the words is shown without a colour.
for s:group in getcompletion('withy', 'highlight')
	if index(['withyId', 'withyValue'], s:group) < 0
		call assert_notequal(hlID(s:group), synIDtrans(hlID(s:group)), s:group)
	endif
endfor
