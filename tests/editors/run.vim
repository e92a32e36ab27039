" vim -u tests/editors/run.vim -es -c 'call Run()': the plugin of editors/vim, then the script that $SCRIPT
" names; what failed is written to $FAILED.
set nocompatible
let &runtimepath = getcwd() . '/editors/vim,' . &runtimepath
filetype plugin on
syntax on

function Run() abort
	try
		source $SCRIPT
	catch
		call add(v:errors, v:throwpoint . ': ' . v:exception)
	endtry
	call writefile(v:errors, $FAILED)
	qall!
endfunction
