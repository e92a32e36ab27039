SELECT type, CASE WHEN split_part(item, '=', 1) = 'cull' THEN 'culled' ELSE regexp_extract(item, '=([^:]+):', 1) END AS g, sum(CAST(split_part(item, ':', 2) AS BIGINT))
FROM (SELECT regexp_extract(line, ' type=([^ ]+)', 1) AS type,
		unnest(list_concat(list_transform(string_split(regexp_extract(line, ' count=([^ ]+)', 1), ','), x -> 'count=' || x),
			list_transform(list_filter(string_split(regexp_extract(line, ' cull=([^ ]+)', 1), ','), x -> x <> ''), x -> 'cull=' || x))) AS item
	FROM read_csv('BOOK', header = false, auto_detect = false, delim = '\x01', quote = '', escape = '', columns = {'line': 'VARCHAR'})
	WHERE regexp_matches(line, '^[^ ]+ ([0-9:]+ )?grade '))
GROUP BY 1, 2;
