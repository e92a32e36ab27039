SELECT charge, count(*), avg(v), min(v), max(v)
FROM (SELECT extract(line, ' probe ([^ ]+)') AS charge, toFloat64(extract(line, ' mc=[a-z0-9]+:([0-9.]+)%')) AS v
	FROM file('BOOK', LineAsString, 'line String')
	WHERE match(line, '^[^ ]+ ([0-9:]+ )?probe .*mc=[a-z0-9]+:[0-9.]+%'))
GROUP BY 1;
