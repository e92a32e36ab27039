# text.awk -v name=NAME FILE - the file as C texts, a line each, NULL at the end. Remarks of one line in /* */ are left out, and
# tabs at the start of lines.
BEGIN { print "static const char *const " name "[] = {" }
{
	sub(/^\t+/, "")
	if (/^\/\*.*\*\/$/)
		next
	gsub(/\\/, "\\\\")
	gsub(/"/, "\\\"")
	print "\t\"" $0 "\\n\","
}
END { print "\tNULL\n};" }
