SELECT type, if(startsWith(item, 'cull='), 'culled', extract(item, '=([^:]+):')) AS g, sum(toInt64(splitByChar(':', item)[2]))
FROM (SELECT extract(line, ' type=([^ ]+)') AS type,
		arrayJoin(arrayConcat(arrayMap(x -> concat('count=', x), splitByChar(',', extract(line, ' count=([^ ]+)'))),
			arrayMap(x -> concat('cull=', x), arrayFilter(x -> x != '', splitByChar(',', extract(line, ' cull=([^ ]+)')))))) AS item
	FROM file('BOOK', LineAsString, 'line String')
	WHERE match(line, '^[^ ]+ ([0-9:]+ )?grade '))
GROUP BY 1, 2;
