" Books of Withy: one event a line. See book(5).
if exists('b:did_ftplugin')
	finish
endif
let b:did_ftplugin = 1

setlocal comments=:# commentstring=#\ %s
setlocal iskeyword=@,48-57,_,-
setlocal omnifunc=withy#Complete
" A line is an event: it is never broken.
setlocal textwidth=0 formatoptions-=t formatoptions-=c formatoptions+=ro
let b:undo_ftplugin = 'setlocal comments< commentstring< iskeyword< omnifunc< textwidth< formatoptions<'

" zM shows a line a day.
setlocal foldmethod=expr foldexpr=withy#FoldLevel(v:lnum) foldtext=withy#FoldText() foldlevel=99
let b:undo_ftplugin .= ' foldmethod< foldexpr< foldtext< foldlevel<'

" :make checks this file.
compiler withy
let b:undo_ftplugin .= ' makeprg< errorformat< | unlet! b:current_compiler b:withy_words'

for s:word in ['td', 'yd', 'nw']
	execute 'inoreabbrev <buffer> <expr>' s:word "withy#Abbreviation('" . s:word . "')"
	let b:undo_ftplugin .= ' | execute "silent! iunabbrev <buffer> ' . s:word . '"'
endfor
unlet s:word
