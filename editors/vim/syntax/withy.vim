" Books of Withy: DATE [TIME] EVENT SUBJECT [FIELD=VALUE ...] [# remark]. See book(5).
" The words come from autoload/withy.vim; a word that is none of them is shown as an error. What
" else can be wrong wy-check says (:make).
if exists('b:current_syntax')
	finish
endif
let s:save_cpo = &cpo
set cpo&vim
syntax case match
syntax sync minlines=1

let s:id = '[A-Za-z0-9_][A-Za-z0-9_-]*'
let s:path = s:id . '\%(\/[A-Za-z0-9_-]\+\)\='
let s:blank = '\%(\s\|$\)\@='
let s:number = '\d\+\%(\.\d\+\)\='
let s:unit = '\%(' . join(map(copy(withy#Units()), 'escape(v:val, "/")'), '\|') . '\|\u\u\u\)'
let s:words = withy#Words()

function s:AnyOf(words) abort
	return '\%(' . join(sort(a:words), '\|') . '\)'
endfunction

" Of items that start at the same place Vim takes the one that is defined last: what is wrong
" stands first.
syntax match withyBadLine /^\s*\zs[^# \t].*$/
execute 'syntax match withyDate /^\s*\zs\d\{4}-\%(0[1-9]\|1[0-2]\)-\%(0[1-9]\|[12]\d\|3[01]\)' . s:blank . '/'
	\ 'nextgroup=withyTime,withyEvent,withyBadEvent skipwhite'
syntax match withyBadEvent /[^# \t]\S*/ contained nextgroup=withySubject,withyBadSubject skipwhite
execute 'syntax match withyTime /\%([01]\d\|2[0-3]\):[0-5]\d\%(:[0-5]\d\)\=\%(Z\|[+-]\d\d:\d\d\)\=' . s:blank . '/'
	\ 'contained nextgroup=withyEvent,withyBadEvent skipwhite'
execute 'syntax match withyEvent /' . s:AnyOf(keys(s:words.events)) . s:blank . '/'
	\ 'contained nextgroup=withySubject,withyBadSubject skipwhite'
syntax match withyBadSubject /[^# \t]\S*/ contained nextgroup=withyField,withyBadField,withyRemark skipwhite
execute 'syntax match withySubject /' . s:path . s:blank . '/'
	\ 'contained nextgroup=withyField,withyBadField,withyRemark skipwhite'
syntax match withyBadField /[^# \t]\%("\%([^"\\]\|\\.\)*"\|[^ \t"]\)*/ contained
	\ nextgroup=withyField,withyBadField,withyRemark skipwhite
execute 'syntax match withyField /' . s:AnyOf(keys(s:words.fields)) . '=\@=/ contained nextgroup=withyEquals'
syntax match withyEquals /=/ contained nextgroup=withyValue,withyOpenText
syntax match withyOpenText /"\%([^"\\]\|\\.\)*$/ contained
syntax match withyValue /\%("\%([^"\\]\|\\.\)*"\|[^ \t"]\)\+/ contained
	\ contains=withyId,withyMeasure,withyBadMeasure,withyDay,withyAbsent,withyBeyond,withyRange,withyLabel,withyMark,withyText
	\ nextgroup=withyField,withyBadField,withyRemark,withyOpenText skipwhite

" Values
execute 'syntax match withyId /' . s:path . '/ contained'
execute 'syntax match withyMeasure /\%([=,:]\|\.\.\)\@2<=-\=' . s:number
	\ . '\%(' . s:unit . '\%(' . s:number . s:unit . '\)\=\)\=\%([+-]\=\%(,\|\s\|$\)\|\.\.\)\@=/ contained contains=withyUnit'
execute 'syntax match withyUnit /\d\@1<=' . s:unit . '\a\@!/ contained'
" A number without the unit that its field needs, or with another one; a moisture or a humidity above 200 %.
syntax match withyBadMeasure /\%([=,:]\|\.\.\)\@2<=\%(200\.\d*[1-9]\d*\|20[1-9]\%(\.\d\+\)\=\|2[1-9]\d\%(\.\d\+\)\=\|[3-9]\d\d\%(\.\d\+\)\=\|\d\{4,}\%(\.\d\+\)\=\)%/ contained
for s:measure in withy#Measures()
	execute 'syntax match withyBadMeasure /\%(\s' . s:AnyOf(copy(s:measure.fields)) . '=\S*\)\@200<=\%([=,:]\|\.\.\)\@2<=-\=' . s:number
		\ . '\a*\%([+-]\=\%(,\|\s\|$\)\|\.\.\)\@=\%(' . s:number . s:AnyOf(map(copy(s:measure.units), 'escape(v:val, "/")')) . '\)\@<!/ contained'
endfor
unlet s:measure
syntax match withyDay /\d\{4}-\d\d-\d\d\%(,\|\s\|$\|\.\.\)\@=/ contained
syntax match withyAbsent /[=,:]\@1<=-\%(,\|\s\|$\)\@=/ contained
syntax match withyBeyond /[0-9A-Za-z%]\@1<=[+-]\%(,\|\s\|$\)\@=/ contained
syntax match withyRange /\.\./ contained
syntax match withyMark /[,:]/ contained
execute 'syntax match withyLabel /[=,]\@1<=' . s:path . ':\@=/ contained'
syntax match withyText /"\%([^"\\]\|\\.\)*"/ contained contains=withyEscape,@Spell
syntax match withyEscape /\\["\\]/ contained

" Remarks
syntax match withyRemark /#.*/ contained contains=withyIntended,@Spell
syntax match withyRemark /^\s*\zs#.*/ contains=withyIntended,@Spell
syntax match withyVersion /\%^# withy \d\+\s*$/
syntax match withyBroken /^\s*\zs#! incomplete.*/
syntax match withyIntended /#\s*intended\s\+[a-z0-9-]\+\%(\s*,\s*[a-z0-9-]\+\)*\s*:/ contained contains=withyRule,withyBadRule
syntax match withyBadRule /[a-z0-9-]\+\%(\s*[:,]\)\@=/ contained
execute 'syntax match withyRule /' . s:AnyOf(copy(withy#Rules())) . '\%(\s*[:,]\)\@=/ contained'

highlight default link withyDate Constant
highlight default link withyTime Constant
highlight default link withyEvent Statement
highlight default link withySubject Identifier
highlight default link withyField Type
highlight default link withyEquals Delimiter
highlight default link withyMark Delimiter
highlight default link withyLabel Label
highlight default link withyMeasure Number
highlight default link withyUnit Special
highlight default link withyDay Constant
highlight default link withyAbsent SpecialChar
highlight default link withyBeyond SpecialChar
highlight default link withyRange Operator
highlight default link withyText String
highlight default link withyEscape SpecialChar
highlight default link withyRemark Comment
highlight default link withyVersion PreProc
highlight default link withyIntended PreProc
highlight default link withyRule Identifier
highlight default link withyBadLine Error
highlight default link withyBadEvent Error
highlight default link withyBadSubject Error
highlight default link withyBadField Error
highlight default link withyBadRule Error
highlight default link withyBadMeasure Error
highlight default link withyOpenText Error
highlight default link withyBroken Error

unlet s:id s:path s:blank s:number s:unit s:words
delfunction s:AnyOf
let &cpo = s:save_cpo
unlet s:save_cpo
let b:current_syntax = 'withy'
