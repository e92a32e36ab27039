SELECT extract(line, ' air ([^ ]+)') AS place, substr(line, 1, 7) AS month, count(*), avg(toFloat64(extract(line, ' temp=([0-9.]+)C'))), avg(toFloat64(extract(line, ' rh=([0-9.]+)%')))
FROM file('BOOK', LineAsString, 'line String')
WHERE match(line, '^[^ ]+ ([0-9:]+ )?air ') GROUP BY 1, 2;
