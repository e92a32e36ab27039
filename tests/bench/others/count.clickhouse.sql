SELECT count(*) FROM file('BOOK', LineAsString, 'line String') WHERE match(line, '^[^ ]+ ([0-9:]+ )?probe ');
