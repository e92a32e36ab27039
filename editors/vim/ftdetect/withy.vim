" A book is known by its ending, or by the version on its first line.
autocmd BufNewFile,BufRead *.wy set filetype=withy
autocmd BufNewFile,BufRead * if getline(1) =~# '^# withy \d' | set filetype=withy | endif
