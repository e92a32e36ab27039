# start.awk FILE... - the files of tools/start as rows of START_FILES, and START_HOUSE, the row of house.yaml.
# tools/start/gitattributes is written as .gitattributes.
FNR == 1 {
	if (NR > 1)
		print "\t},"
	else
		print "static const struct { const char *name, *text; } START_FILES[] = {"
	name = FILENAME
	sub(/.*\//, "", name)
	if (name == "house.yaml")
		house = rows
	rows++
	sub(/^gitattributes$/, ".gitattributes", name)
	print "\t{ \"" name "\","
}
{
	gsub(/\\/, "\\\\")
	gsub(/"/, "\\\"")
	print "\t\t\"" $0 "\\n\""
}
END { print "\t},\n};\n\nenum { START_HOUSE = " house " };" }
