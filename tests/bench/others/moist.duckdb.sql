SELECT charge, count(*), avg(v), min(v), max(v)
FROM (SELECT regexp_extract(line, ' probe ([^ ]+)', 1) AS charge, CAST(regexp_extract(line, ' mc=[a-z0-9]+:([0-9.]+)%', 1) AS DOUBLE) AS v
	FROM read_csv('BOOK', header = false, auto_detect = false, delim = '\x01', quote = '', escape = '', columns = {'line': 'VARCHAR'})
	WHERE regexp_matches(line, '^[^ ]+ ([0-9:]+ )?probe .*mc=[a-z0-9]+:[0-9.]+%'))
GROUP BY 1;
