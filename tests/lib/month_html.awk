# month_html.awk - a month's page of HTML as the same page of text, so that month_figures.awk can look at it.
#
#	awk -f month_html.awk PAGE.html
#
# Each h2 and h3 is a section but those of pictures, each row of a table a line with two spaces between cells, each point a line.

function text(s) {
	gsub(/<[^>]*>/, "", s)
	gsub(/&lt;/, "<", s); gsub(/&gt;/, ">", s); gsub(/&quot;/, "\"", s); gsub(/&#39;/, "'", s); gsub(/&amp;/, "\\&", s)
	return s
}

function row(s,   n, cell, i, line) {
	n = split(s, cell, /<\/t[hd]>/)
	for (i = 1; i < n; i++) line = line (i > 1 ? "   " : "  ") (text(cell[i]) == "" ? "-" : text(cell[i]))
	return line
}

/^<h1/ { print text($0) }
/^<h2/ { part = text($0); if (part == "Needs attention") print "\n" part }
/^<(section|div) class="block/ { drawn = / picture"/ }
/^<h3/ && !drawn { print "\n" text($0) }
/^<tr>/ { print row($0) }
/^<p class="none">/ { print "  " text($0) }
/^<li/ && !/<a href="#/ { print "  - " text($0) }
END { print "" }
