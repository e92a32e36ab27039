" The words of a book, and their completion. Made by `make words` from autoload/withy.vim.in
" and spec/*.yaml: to change it, edit those.

let s:events = {
	\ 'fell': {'help': 'a tree is felled', 'fields': ['parcel', 'site', 'girth', 'age', 'licence', 'price', 'from', 'by', 'doc']},
	\ 'cleave': {'help': 'a lot of clefts is split from a tree; may repeat', 'fields': ['tree', 'count', 'rolls', 'cull', 'into', 'by', 'doc']},
	\ 'buy': {'help': 'a lot is bought in', 'fields': ['form', 'count', 'into', 'cull', 'claimed', 'price', 'origin', 'from', 'by', 'doc']},
	\ 'seal': {'help': 'the ends are sealed', 'fields': ['with', 'by', 'doc']},
	\ 'move': {'help': 'pieces go to another place', 'fields': ['into', 'form', 'type', 'grade', 'class', 'at', 'count', 'cull', 'by', 'doc']},
	\ 'tally': {'help': 'a count of the pieces present; count + cull must equal book + found', 'fields': ['at', 'count', 'form', 'type', 'grade', 'class', 'cull', 'found', 'since', 'price', 'origin', 'from', 'by', 'doc']},
	\ 'scrap': {'help': 'pieces are culled', 'fields': ['cull', 'form', 'type', 'grade', 'class', 'at', 'by', 'doc']},
	\ 'sell': {'help': 'pieces, a bat or a by-product are sold', 'fields': ['to', 'form', 'type', 'grade', 'class', 'at', 'count', 'volume', 'mass', 'price', 'for', 'by', 'doc']},
	\ 'return': {'help': 'pieces or a bat that were sold come back', 'fields': ['cause', 'into', 'form', 'type', 'grade', 'class', 'count', 'from', 'by', 'doc']},
	\ 'pool': {'help': 'pieces of several lots can no longer be distinguished and go on under a new id', 'fields': ['lot', 'at', 'form', 'type', 'grade', 'class', 'by', 'doc']},
	\ 'load': {'help': 'pieces of a charge go into a kiln', 'fields': ['kiln', 'lot', 'at', 'count', 'form', 'type', 'grade', 'class', 'cull', 'by', 'doc']},
	\ 'set': {'help': 'the settings of a kiln are changed', 'fields': ['stage', 'temp', 'rh', 'wetbulb', 'by', 'doc']},
	\ 'air': {'help': 'the climate of a kiln or a room', 'fields': ['temp', 'rh', 'wetbulb', 'meter', 'by', 'doc']},
	\ 'probe': {'help': 'moisture readings; probes put in and taken out', 'fields': ['at', 'form', 'type', 'grade', 'class', 'in', 'out', 'mc', 'wood', 'meter', 'depth', 'by', 'doc']},
	\ 'oven': {'help': 'the oven test of a piece: its wet and dry mass', 'fields': ['wet', 'dry', 'cull', 'lot', 'at', 'form', 'type', 'grade', 'class', 'mc', 'wood', 'meter', 'depth', 'by', 'doc']},
	\ 'weigh': {'help': 'the mass of sample pieces, or of a whole load', 'fields': ['mass', 'lot', 'at', 'form', 'type', 'grade', 'class', 'by', 'doc']},
	\ 'unload': {'help': 'pieces come out of the kiln', 'fields': ['count', 'into', 'lot', 'form', 'type', 'grade', 'class', 'cull', 'by', 'doc']},
	\ 'plane': {'help': 'clefts are planed to blades', 'fields': ['at', 'count', 'form', 'type', 'cull', 'into', 'by', 'doc']},
	\ 'grade': {'help': 'blades are graded; with grade= they are graded again', 'fields': ['at', 'count', 'form', 'type', 'grade', 'class', 'cull', 'into', 'by', 'doc']},
	\ 'judge': {'help': 'one opinion of one piece; it moves nothing', 'fields': ['grade', 'class', 'grains', 'straight', 'colour', 'fault', 'mass', 'mc', 'wood', 'meter', 'handle-end', 'by', 'doc']},
	\ 'issue': {'help': 'pieces are issued to the shop', 'fields': ['at', 'count', 'into', 'form', 'type', 'grade', 'class', 'cull', 'for', 'by', 'doc']},
	\ 'make': {'help': 'a bat is made of one blade and one handle', 'fields': ['blade', 'handle', 'at', 'type', 'grade', 'class', 'mc', 'wood', 'meter', 'for', 'by', 'doc']},
	\ 'finish': {'help': 'a bat is finished: its mass and sizes', 'fields': ['at', 'mass', 'length', 'width', 'depth', 'edge', 'shape', 'into', 'by', 'doc']},
	\ 'rehandle': {'help': 'a bat gets a new handle; the old one is culled', 'fields': ['handle', 'at', 'cull', 'type', 'mc', 'wood', 'meter', 'by', 'doc']},
	\ 'order': {'help': 'an order of a customer; a later line restates the whole order', 'fields': ['count', 'form', 'mass', 'price', 'due', 'to', 'by', 'doc']},
	\ 'cost': {'help': 'a cost, and the pieces or days that it is spread over', 'fields': ['kind', 'price', 'energy', 'over', 'from', 'to', 'by', 'doc']},
	\ 'credit': {'help': 'a supplier gives back a part of what was paid', 'fields': ['from', 'price', 'fault', 'by', 'doc']},
	\ 'rate': {'help': 'an exchange rate', 'fields': ['is', 'by', 'doc']},
	\ 'meter': {'help': 'an instrument is checked against a reference', 'fields': ['true', 'read', 'wood', 'by', 'doc']},
	\ 'note': {'help': 'a note in words', 'fields': ['text', 'by', 'doc']},
	\ }

let s:fields = {
	\ 'parcel': 'the parcel of standing trees that it was bought in',
	\ 'site': 'the place where it grew',
	\ 'girth': 'girth at breast height',
	\ 'age': 'age in years',
	\ 'licence': 'the felling licence',
	\ 'tree': 'the tree that the clefts come from',
	\ 'rolls': 'number of rolls it was cut into',
	\ 'kiln': 'the kiln of the charge',
	\ 'blade': 'the lot or piece of the blade',
	\ 'handle': 'the lot of the handle',
	\ 'lot': 'the lot',
	\ 'at': 'where the pieces are',
	\ 'form': 'cleft, blade, handle or bat',
	\ 'type': 'the type (size)',
	\ 'grade': 'the grade',
	\ 'class': 'the weight class of a graded piece',
	\ 'count': 'number of pieces that go on, by what they become: a type, a grade, TYPE/GRADE or TYPE/GRADE/CLASS',
	\ 'stage': 'the stage of the schedule',
	\ 'temp': 'dry-bulb temperature of the air',
	\ 'rh': 'relative humidity of the air',
	\ 'wetbulb': 'wet-bulb temperature of the air',
	\ 'out': 'probes taken out',
	\ 'in': 'probes put in, and the piece that each is in',
	\ 'grains': 'grain lines across the face',
	\ 'straight': 'straightness of the grain',
	\ 'colour': 'colour of the face',
	\ 'fault': 'faults seen',
	\ 'mass': 'mass',
	\ 'mc': 'moisture content as the meter showed it',
	\ 'wood': 'temperature of the wood',
	\ 'meter': 'the instrument, and its setting',
	\ 'length': 'length',
	\ 'width': 'width of the blade',
	\ 'depth': 'depth; for a bat, its thickness',
	\ 'edge': 'thickness of the edge',
	\ 'shape': 'shape of the finished blade, in a word of the works',
	\ 'handle-end': 'the end that takes the handle',
	\ 'wet': 'wet mass, before the oven',
	\ 'dry': 'oven-dry mass',
	\ 'cull': 'number of pieces culled, by cause',
	\ 'found': 'number of pieces found beyond those in the book',
	\ 'since': 'the day from which the pieces found have had their form',
	\ 'claimed': 'the supplier''s own grades',
	\ 'kind': 'kind of cost',
	\ 'energy': 'energy used',
	\ 'volume': 'volume',
	\ 'price': 'the total of the line, without tax',
	\ 'over': 'the first and last day that the cost is for',
	\ 'due': 'the day it is due',
	\ 'is': 'the worth of one unit of the currency',
	\ 'true': 'the value of the reference',
	\ 'read': 'the reading of the instrument',
	\ 'with': 'the sealant of the ends',
	\ 'text': 'words',
	\ 'cause': 'the cause of the return',
	\ 'origin': 'country or region where the wood grew',
	\ 'from': 'the party that it comes from',
	\ 'to': 'the party that it goes to',
	\ 'into': 'where the pieces go',
	\ 'for': 'the order that it is for',
	\ 'doc': 'the paper: invoice, docket, licence',
	\ 'by': 'the person who did it',
	\ }

" The fields that take a few words only.
let s:choices = {
	\ 'form': ['cleft', 'blade', 'handle', 'bat'],
	\ 'straight': ['straight', 'slight', 'crooked'],
	\ 'handle-end': ['butt', 'tip'],
	\ }

" The fields whose numbers need a unit, and its units.
let s:measures = [
	\ {'fields': ['mc'], 'units': ['%']},
	\ {'fields': ['rh'], 'units': ['%']},
	\ {'fields': ['temp', 'wetbulb', 'wood'], 'units': ['C', 'F']},
	\ {'fields': ['mass', 'wet', 'dry'], 'units': ['g', 'kg', 'lb', 'oz']},
	\ {'fields': ['girth', 'length', 'width', 'depth', 'edge'], 'units': ['mm', 'cm', 'm', 'in', 'ft']},
	\ {'fields': ['volume'], 'units': ['m3']},
	\ {'fields': ['energy'], 'units': ['kWh']},
	\ {'fields': ['true', 'read'], 'units': ['%', 'C', 'F', 'g', 'kg', 'lb', 'oz']},
	\ ]

function withy#Measures() abort
	return s:measures
endfunction

let s:units = ['kWh', 'cm', 'ft', 'in', 'kg', 'lb', 'm3', 'mm', 'oz', '%', 'C', 'F', 'd', 'g', 'h', 'm', 'w']

let s:rules = [
	\ 'nul-byte',
	\ 'bad-utf8',
	\ 'control-character',
	\ 'byte-order-mark',
	\ 'carriage-return',
	\ 'line-end-missing',
	\ 'line-over-limit',
	\ 'incomplete',
	\ 'merge-mark',
	\ 'version-unknown',
	\ 'date-malformed',
	\ 'date-impossible',
	\ 'time-malformed',
	\ 'event-missing',
	\ 'event-unknown',
	\ 'subject-missing',
	\ 'subject-malformed',
	\ 'field-malformed',
	\ 'field-unknown',
	\ 'field-not-here',
	\ 'field-twice',
	\ 'field-missing',
	\ 'field-one-of',
	\ 'value-missing',
	\ 'item-empty',
	\ 'list-not-allowed',
	\ 'label-missing',
	\ 'label-not-allowed',
	\ 'label-twice',
	\ 'quote-open',
	\ 'quote-escape',
	\ 'quote-after',
	\ 'text-unquoted',
	\ 'number-malformed',
	\ 'number-too-long',
	\ 'number-out-of-range',
	\ 'unit-missing',
	\ 'unit-unknown',
	\ 'currency-unknown',
	\ 'money-places',
	\ 'absent-not-allowed',
	\ 'beyond-not-allowed',
	\ 'range-not-allowed',
	\ 'range-inverted',
	\ 'id-malformed',
	\ 'word-unknown',
	\ 'stock-short',
	\ 'stock-absent',
	\ 'stock-ambiguous',
	\ 'stock-order',
	\ 'stock-undecided',
	\ 'pool-mixed',
	\ 'bat-count',
	\ 'tally-sum',
	\ 'tally-unknown',
	\ 'lot-again',
	\ 'count-missing',
	\ 'into-missing',
	\ 'bat-not-sold',
	\ 'bat-buyer',
	\ 'return-short',
	\ 'rehandle-cull',
	\ 'tally-origin',
	\ 'since-later',
	\ 'claimed-sum',
	\ 'kiln-other',
	\ 'kiln-full',
	\ 'kiln-off-full',
	\ 'kiln-not-empty',
	\ 'probe-not-in',
	\ 'probe-in-again',
	\ 'probe-left-in',
	\ 'probe-what',
	\ 'reading-untrusted',
	\ 'uncorrected',
	\ 'meter-overdue',
	\ 'meter-unchecked',
	\ 'reading-twice',
	\ 'meter-off',
	\ 'meter-units',
	\ 'wetbulb-above-dry',
	\ 'oven-masses',
	\ 'oven-pairs',
	\ 'oven-mc',
	\ 'bat-over-law',
	\ 'make-moisture',
	\ 'make-label',
	\ 'make-fits',
	\ 'order-due',
	\ 'order-what',
	\ 'order-party',
	\ 'order-mass',
	\ 'order-again',
	\ 'order-oversold',
	\ 'order-overissued',
	\ 'rate-missing',
	\ 'credit-sign',
	\ 'rate-far',
	\ 'over-range',
	\ 'place-unknown',
	\ 'kiln-unknown',
	\ 'person-unknown',
	\ 'party-unknown',
	\ 'cull-unknown',
	\ 'cause-unknown',
	\ 'cost-kind-unknown',
	\ 'stage-unknown',
	\ 'meter-unknown',
	\ 'form-unknown',
	\ 'type-unknown',
	\ 'grade-unknown',
	\ 'class-unknown',
	\ 'byproduct-unknown',
	\ 'claim-unknown',
	\ 'implausible',
	\ 'class-mass',
	\ 'date-far',
	\ 'time-skipped',
	\ 'line-twice',
	\ 'closed-changed',
	\ 'id-unknown',
	\ 'id-other',
	\ 'id-too-early',
	\ 'id-kind',
	\ 'id-pattern',
	\ 'tree-again',
	\ 'suppression-unknown',
	\ 'suppression-reason',
	\ 'suppression-unused',
	\ ]

function withy#Units() abort
	return s:units
endfunction

function withy#Rules() abort
	return s:rules
endfunction

" The house file that the tools would find from this file's folder, as an option; nothing where
" $WITHY_HOUSE names it or there is none.
function withy#HouseOption() abort
	let house = empty($WITHY_HOUSE) ? findfile('house.yaml', fnameescape(expand('%:p:h')) . ';') : ''
	return empty(house) ? '' : ' -H ' . shellescape(fnamemodify(house, ':p'), 1)
endfunction

" Events (each with its help and fields) and fields (each with its help): those of the format,
" and the works' own, which wy-check knows.
function withy#Words() abort
	if exists('b:withy_words')
		return b:withy_words
	endif
	let words = {'events': deepcopy(s:events), 'fields': copy(s:fields)}
	let b:withy_words = words
	if !executable('wy-check')
		return words
	endif
	let house = substitute(withy#HouseOption(), '\\\([%#!]\)', '\1', 'g')
	let rows = systemlist('wy-check --events --as=tsv' . house . ' 2>/dev/null')
	if v:shell_error
		return words
	endif
	for [event, field, use, type, form, choice, help] in filter(map(rows[1:], 'split(v:val, "\t", 1)'), 'len(v:val) == 7')
		let known = get(words.events, event, {'help': '', 'fields': []})
		let words.events[event] = known
		if empty(field)
			let known.help = help
		else
			call extend(known.fields, index(known.fields, field) < 0 ? [field] : [])
			let words.fields[field] = help
		endif
	endfor
	return words
endfunction

" ---- completion

let s:entry = '^\s*\d\{4}-\d\d-\d\d\s\+\%(\d\d:\S\+\s\+\)\='

function s:Events() abort
	let events = withy#Words().events
	return map(sort(keys(events)), '{"word": v:val, "menu": events[v:val].help}')
endfunction

" The fields of the event that the line does not have yet.
function s:Fields(event, line) abort
	let words = withy#Words()
	let fields = copy(get(get(words.events, a:event, {}), 'fields', sort(keys(words.fields))))
	call filter(fields, 'a:line !~# "\\s" . v:val . "="')
	return map(fields, '{"word": v:val . "=", "menu": get(words.fields, v:val, "")}')
endfunction

" What `pattern` finds in the lines of the book, each once, the latest first.
function s:Seen(pattern) abort
	let seen = {}
	let found = []
	for line in reverse(getline(1, '$'))
		let word = matchstr(line, a:pattern)
		if !empty(word) && !has_key(seen, word)
			let seen[word] = 1
			call add(found, word)
		endif
	endfor
	return found
endfunction

" Ids and labels that the field had before.
function s:Values(field) abort
	let found = []
	for value in s:Seen('\s' . a:field . '=\zs[^ \t"]\+')
		for item in split(value, ',')
			let word = matchstr(item, '^[^:]*')
			if word =~# '^\a[A-Za-z0-9_/-]*$' && index(found, word) < 0
				call add(found, word)
			endif
		endfor
	endfor
	return found
endfunction

function s:Candidates(before) abort
	if a:before =~# '^\s*$'
		return uniq([strftime('%Y-%m-%d')] + s:Seen('^\s*\zs\d\{4}-\d\d-\d\d\ze\s')[:0])
	elseif a:before =~# s:entry . '$'
		return s:Events()
	elseif a:before =~# s:entry . '\S\+\s\+$'
		return s:Seen(s:entry . matchstr(a:before, s:entry . '\zs\S\+') . '\s\+\zs[^ \t=#]\+')
	elseif a:before =~# '\s[A-Za-z0-9_-]\+=[^ \t"]*$'
		let field = matchstr(a:before, '\s\zs[A-Za-z0-9_-]\+\ze=[^ \t"]*$')
		return a:before =~# ':$' ? [] : get(s:choices, field, s:Values(field))
	elseif a:before =~# s:entry . '\S\+\s\+\S\+\s.*$'
		return s:Fields(matchstr(a:before, s:entry . '\zs\S\+'), a:before)
	endif
	return []
endfunction

" For 'omnifunc'.
function withy#Complete(findstart, base) abort
	let before = strpart(getline('.'), 0, col('.') - 1)
	if a:findstart
		return before =~# '\%(^\|\s\)#' ? -3 : match(before, '[^ \t=,:]*$')
	endif
	return filter(s:Candidates(before),
		\ 'strpart(type(v:val) == v:t_dict ? v:val.word : v:val, 0, len(a:base)) ==# a:base')
endfunction

" ---- folding: the entries of one day; a comment above them is in their fold
function withy#Day(lnum) abort
	return matchstr(getline(a:lnum), '^\s*\zs\d\{4}-\d\d-\d\d')
endfunction

function withy#FoldLevel(lnum) abort
	let day = withy#Day(a:lnum)
	if empty(day)
		return getline(a:lnum) =~# '^\s*$' ? 0 : '='
	endif
	return day ==# withy#Day(a:lnum - 1) ? 1 : '>1'
endfunction

function withy#FoldText() abort
	let lines = v:foldend - v:foldstart + 1
	let events = []
	for lnum in range(v:foldstart, v:foldend)
		let event = matchstr(getline(lnum), '^\s*\S\+\s\+\%(\d\S*\s\+\)\=\zs[a-z]\+')
		if !empty(event) && index(events, event) < 0
			call add(events, event)
		endif
	endfor
	return withy#Day(v:foldstart) . ': ' . lines . (lines == 1 ? ' line' : ' lines') . ', ' . join(events, ' ') . ' '
endfunction

" ---- abbreviations: at the start of a line `td` is today and `yd` yesterday, behind the date `nw` is the time
function withy#Abbreviation(word) abort
	let before = strpart(getline('.'), 0, col('.') - 1)
	if a:word ==# 'nw'
		return before =~# '^\s*\d\{4}-\d\d-\d\d\s\+\%(nw\)\=$' ? strftime('%H:%M') : a:word
	endif
	return before =~# '^\s*\%(td\|yd\)\=$' ? strftime('%Y-%m-%d', localtime() - (a:word ==# 'yd' ? 86400 : 0)) : a:word
endfunction
