" :make runs wy-check on this file, with the nearest house file above it. A book of several
" files is judged as a whole with
"	:setlocal makeprg=wy-check\ -b
if exists('current_compiler')
	finish
endif
let current_compiler = 'withy'
if exists(':CompilerSet') != 2
	command -nargs=* CompilerSet setlocal <args>
endif

execute 'CompilerSet makeprg=' . escape('wy-check' . withy#HouseOption() . ' %:S', ' \|"')
CompilerSet errorformat=%f:%l:%c:\ %trror:\ %m,%f:%l:%c:\ %tarning:\ %m,%f:%l:%c:\ %tote:\ %m
