" Nothing in the books that $BOOKS lists is shown as an error, and every field and event is known as one.
let s:words = 0
for s:path in split($BOOKS)
	execute 'edit' s:path
	for s:lnum in range(1, line('$'))
		let s:line = getline(s:lnum)
		let s:at = match(s:line, '\S')
		while s:at >= 0
			let s:words += 1
			let s:name = synIDattr(synID(s:lnum, s:at + 1, 0), 'name')
			if s:name =~# '^withy\%(Bad\|Open\|Broken\)' || empty(s:name)
				call add(v:errors, s:path . ':' . s:lnum . ':' . (s:at + 1) . ': ' . s:name . ' ' . strpart(s:line, s:at, 20))
			endif
			let s:at = s:name ==# 'withyRemark' ? -1 : match(s:line, '\s\zs\S', s:at)
		endwhile
	endfor
endfor
call assert_true(s:words > 5000, 'only ' . s:words . ' words')
