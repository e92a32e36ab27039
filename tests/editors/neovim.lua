-- neovim.lua: Neovim's own client and wy-serve. $WORK has bad.wy; what is wrong is written to $FAILED.
local failures = {}
local function holds(what, got, want)
	if not vim.deep_equal(got, want) then
		table.insert(failures, what .. ': ' .. vim.inspect(got) .. ', not ' .. vim.inspect(want))
	end
end

local function ask(method, params)
	local answers = vim.lsp.buf_request_sync(0, method, params, 20000) or {}
	for _, answer in pairs(answers) do
		return answer.result
	end
end

local function run()
	vim.cmd('edit ' .. vim.env.WORK .. '/bad.wy')
	local id = vim.lsp.start_client({ cmd = { 'wy-serve' }, root_dir = vim.env.WORK })
	vim.lsp.buf_attach_client(0, id)
	vim.wait(20000, function() return #vim.diagnostic.get(0) == 3 end, 50)
	local found = {}
	for _, d in ipairs(vim.diagnostic.get(0)) do
		table.insert(found, { d.lnum + 1, d.col + 1, d.code })
	end
	table.sort(found, function(a, b) return a[1] < b[1] end)
	holds('diagnostics', found, { { 1, 12, 'event-unknown' }, { 3, 22, 'field-unknown' }, { 4, 39, 'unit-missing' } })
	vim.diagnostic.setqflist({ open = false })
	holds('the quickfix list', #vim.fn.getqflist(), 3)

	-- Keys: the client sends what changes, and the findings follow.
	vim.api.nvim_win_set_cursor(0, { 1, 0 })
	vim.cmd('normal! fesa')
	vim.api.nvim_buf_set_lines(0, 0, 1, false, { '2026-03-05 seal L061 with=wax' })
	vim.wait(20000, function() return #vim.diagnostic.get(0) == 2 end, 50)
	holds('diagnostics after a change', #vim.diagnostic.get(0), 2)
	vim.api.nvim_buf_set_lines(0, -1, -1, false, { '2026-07-08 note L061 text="grün 🌲" by=jo', '2026-07-09 se' })
	vim.api.nvim_win_set_cursor(0, { 6, 13 })
	local params = vim.lsp.util.make_position_params()
	params.position.character = 13
	local words = {}
	for _, item in ipairs(ask('textDocument/completion', params).items) do
		table.insert(words, item.label)
	end
	holds('completion', words, { 'seal', 'sell', 'set' })
	vim.api.nvim_buf_set_lines(0, 5, 6, false, {})

	vim.api.nvim_win_set_cursor(0, { 5, 17 })
	holds('definition', ask('textDocument/definition', vim.lsp.util.make_position_params()).range.start, { line = 1, character = 15 })
	local hover = ask('textDocument/hover', vim.lsp.util.make_position_params()).contents.value
	holds('hover', hover:match('^L061: lot, in %d lines'), 'L061: lot, in 3 lines')
	-- Neovim counts bytes and the protocol UTF-16 units: by= is found behind the tree.
	local line = vim.api.nvim_buf_get_lines(0, 4, 5, false)[1]
	vim.api.nvim_win_set_cursor(0, { 5, line:find('by=') - 1 })
	holds('a field behind other letters', ask('textDocument/hover', vim.lsp.util.make_position_params()).contents.value:match('^by='), 'by=')
	vim.lsp.buf.rename('L099')
	vim.api.nvim_win_set_cursor(0, { 5, 17 })
	vim.lsp.buf.rename('L099')
	vim.wait(20000, function() return vim.fn.search('L099', 'nw') > 0 end, 50)
	holds('rename', vim.fn.searchcount({ pattern = 'L099', maxcount = 99 }).total, 5)
	vim.lsp.buf.formatting_sync({}, 20000)
	holds('formatting', vim.api.nvim_buf_get_lines(0, 0, 1, false)[1], '2026-03-03       buy     L099   form=cleft count=SH:18 into=yard/b1')
	vim.lsp.stop_client(id)
	holds('the server ends', vim.wait(20000, function() return vim.lsp.get_client_by_id(id) == nil or vim.lsp.client_is_stopped(id) end, 50), true)
end

local good, why = pcall(run)
if not good then
	table.insert(failures, why)
end
vim.fn.writefile(vim.split(table.concat(failures, '\n'), '\n'), vim.env.FAILED)
vim.cmd('qall!')
