SELECT regexp_extract(line, ' air ([^ ]+)', 1) AS place, substr(line, 1, 7) AS month, count(*), avg(CAST(regexp_extract(line, ' temp=([0-9.]+)C', 1) AS DOUBLE)), avg(CAST(regexp_extract(line, ' rh=([0-9.]+)%', 1) AS DOUBLE))
FROM read_csv('BOOK', header = false, auto_detect = false, delim = '\x01', quote = '', escape = '', columns = {'line': 'VARCHAR'})
WHERE regexp_matches(line, '^[^ ]+ ([0-9:]+ )?air ') GROUP BY 1, 2;
