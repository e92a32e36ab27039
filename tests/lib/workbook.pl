#!/usr/bin/perl
# workbook.pl OUT [KEY=VALUE...] - writes an .xlsx workbook (ECMA-376) from rows on standard input.
#
# A line is a row, its cells divided by tabs:
#   nS:46182.5  a number in style S (none: 0)     s:TEXT  a shared text     i:TEXT  a text of its own
#   fS:A1*2=47  a formula with its stored result, a number; f:A1*2= has none; ft:A1=TEXT has a text
#   b:1         TRUE      e:#N/A  an error        d:TEXT  a moment as a text  (nothing)  no cell
#   x:XML       the cell's element as it is
# `@row N` goes to row N; `@sheet NAME [STATE]` starts a sheet, STATE hidden or chart; `@xml` takes the line as it is.
#
# Styles: 0 plain; 1 yyyy-mm-dd hh:mm; 2 number 14 (a day); 3 number 21 (a time); 4 0.0%; 5 a language, a day and a
# time of half a day; 6 0.0 "days"; 7 [Red]0.00; 8 mmm yyyy; 9 [h]:mm; 10 number 22.
# Keys: date1904=1; refs=0 leaves the cells' names out; prefix=x gives every element a prefix; method=store does
# not pack; without=PART leaves a part out; doctype=1 puts one into the sheet; cut=N leaves N bytes off the end.
use strict;
use warnings;
use IO::Compress::Zip qw(:all);

my ($out, %key) = (shift @ARGV, map { split /=/, $_, 2 } @ARGV);
my (@sheets, @shared, %shared, $row, $sheet);
my $p = $key{prefix} ? "$key{prefix}:" : '';

sub text { my $t = shift; $t =~ s/&/&amp;/g; $t =~ s/</&lt;/g; $t =~ s/"/&quot;/g; $t }

sub letters { my $n = shift; my $l = ''; while ($n) { $l = chr(65 + ($n - 1) % 26) . $l; $n = int(($n - 1) / 26) } $l }

sub cell {
	my ($at, $spec) = @_;
	my $r = ($key{refs} // 1) ? " r=\"$at\"" : '';
	return "<${p}c$r/>" if $spec eq '';
	my ($kind, $style, $value) = $spec =~ /^([a-z]+)(\d*):(.*)$/s or die "cell: $spec";
	$r .= " s=\"$style\"" if $style ne '';
	return $value if $kind eq 'x';
	return "<${p}c$r><${p}v>$value</${p}v></${p}c>" if $kind eq 'n';
	if ($kind eq 's') {
		$shared{$value} //= push(@shared, $value) - 1;
		return "<${p}c$r t=\"s\"><${p}v>$shared{$value}</${p}v></${p}c>";
	}
	return "<${p}c$r t=\"inlineStr\"><${p}is><${p}t>" . text($value) . "</${p}t></${p}is></${p}c>" if $kind eq 'i';
	if ($kind =~ /^f/) {
		my ($formula, $result) = split /=/, $value, 2;
		my $t = $kind eq 'ft' ? ' t="str"' : '';
		my $v = $result eq '' ? '' : "<${p}v>" . text($result) . "</${p}v>";
		return "<${p}c$r$t><${p}f>" . text($formula) . "</${p}f>$v</${p}c>";
	}
	return "<${p}c$r t=\"$kind\"><${p}v>" . text($value) . "</${p}v></${p}c>";
}

sub start { $sheet = { name => $_[0], state => $_[1] // '', rows => [] }; push @sheets, $sheet; $row = 0 }

while (my $line = <STDIN>) {
	chomp $line;
	if ($line =~ /^\@sheet ([^\t]*?)(?: (hidden|chart))?$/) { start($1, $2); next }
	start('Readings') unless $sheet;
	if ($line =~ /^\@row (\d+)$/) { $row = $1 - 1; next }
	if ($line =~ /^\@xml (.*)$/) { push @{ $sheet->{rows} }, $1; next }
	$row++;
	my ($col, $cells) = (0, '');
	for my $spec (split /\t/, $line, -1) {
		$col++;
		$cells .= cell(letters($col) . $row, $spec) if $spec ne '' || !($key{refs} // 1);
	}
	my $r = ($key{refs} // 1) ? " r=\"$row\"" : '';
	push @{ $sheet->{rows} }, "<${p}row$r>$cells</${p}row>";
}
start('Readings') unless $sheet;

my $main = 'http://schemas.openxmlformats.org/spreadsheetml/2006/main';
my $rel = 'http://schemas.openxmlformats.org/officeDocument/2006/relationships';
my $rels = 'http://schemas.openxmlformats.org/package/2006/relationships';
my $ns = $p ? "xmlns:$key{prefix}=\"$main\"" : "xmlns=\"$main\"";
my $head = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n";
my $doctype = $key{doctype} ? "<!DOCTYPE a [<!ENTITY b \"cc\">]>\n" : '';
my (@parts, $list, $relations);

push @parts, ['[Content_Types].xml', "$head<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\"/>"];
push @parts, ['_rels/.rels', "$head<Relationships xmlns=\"$rels\"><Relationship Id=\"r1\" Type=\"$rel/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"];
for my $i (0 .. $#sheets) {
	my $s = $sheets[$i];
	my $n = $i + 1;
	my $state = $s->{state} eq 'hidden' ? ' state="hidden"' : '';
	my $type = $s->{state} eq 'chart' ? 'chartsheet' : 'worksheet';
	my $target = $i % 2 ? "/xl/worksheets/part$n.xml" : "worksheets/part$n.xml";
	$list .= "<${p}sheet name=\"" . text($s->{name}) . "\" sheetId=\"" . ($n + 6) . "\"$state r:id=\"id$n\"/>";
	$relations .= "<Relationship Id=\"id$n\" Type=\"$rel/$type\" Target=\"$target\"/>";
	push @parts, ["xl/worksheets/part$n.xml", "$head$doctype<${p}worksheet $ns><${p}sheetData>" . join('', @{ $s->{rows} }) . "</${p}sheetData></${p}worksheet>"];
}
$relations .= "<Relationship Id=\"st\" Type=\"$rel/styles\" Target=\"styles.xml\"/>";
if (@shared) {
	$relations .= "<Relationship Id=\"sh\" Type=\"$rel/sharedStrings\" Target=\"sharedStrings.xml\"/>";
	my $items = join '', map {
		my ($whole, $n) = (text($_), length $_);
		# every second one in two runs, with a note of how it sounds
		$n > 3 && $n % 2 ? "<${p}si><${p}r><${p}t>" . text(substr $_, 0, 2) . "</${p}t></${p}r><${p}r><${p}t xml:space=\"preserve\">"
			. text(substr $_, 2) . "</${p}t></${p}r><${p}rPh sb=\"0\" eb=\"1\"><${p}t>NOT THIS</${p}t></${p}rPh></${p}si>"
			: "<${p}si><${p}t>$whole</${p}t></${p}si>"
	} @shared;
	push @parts, ['xl/sharedStrings.xml', "$head<${p}sst $ns>$items</${p}sst>"];
}
my $date1904 = $key{date1904} ? "<${p}workbookPr date1904=\"1\"/>" : "<${p}workbookPr/>";
push @parts, ['xl/workbook.xml', "$head<${p}workbook $ns xmlns:r=\"$rel\">$date1904<${p}sheets>$list</${p}sheets></${p}workbook>"];
push @parts, ['xl/_rels/workbook.xml.rels', "$head<Relationships xmlns=\"$rels\">$relations</Relationships>"];
my @codes = ([164, 'yyyy-mm-dd hh:mm'], [165, '[$-409]d\\-mmm\\-yyyy h:mm AM/PM;@'], [166, '0.0 "days"'], [167, '[Red]0.00'],
	[168, 'mmm yyyy'], [169, '[h]:mm'], [170, '0.0%']);
my @xf = (0, 164, 14, 21, 170, 165, 166, 167, 168, 169, 22);
push @parts, ['xl/styles.xml', "$head<${p}styleSheet $ns><${p}numFmts>"
	. join('', map { "<${p}numFmt numFmtId=\"$_->[0]\" formatCode=\"" . text($_->[1]) . "\"/>" } @codes)
	. "</${p}numFmts><${p}cellStyleXfs><${p}xf numFmtId=\"14\"/></${p}cellStyleXfs><${p}cellXfs>"
	. join('', map { "<${p}xf numFmtId=\"$_\"/>" } @xf) . "</${p}cellXfs></${p}styleSheet>"];

my $zip;
my $packed;
for my $part (@parts) {
	my ($name, $bytes) = @$part;
	next if ($key{without} // '') eq $name;
	my $method = ($key{method} // '') eq 'store' ? ZIP_CM_STORE : ZIP_CM_DEFLATE;
	if ($zip) { $zip->newStream(Name => $name, Method => $method) }
	else { $zip = IO::Compress::Zip->new(\$packed, Name => $name, Method => $method) or die $ZipError }
	$zip->print($bytes);
}
$zip->close;
substr($packed, -$key{cut}) = '' if $key{cut};
open my $file, '>:raw', $out or die "$out: $!";
print $file $packed;
close $file or die "$out: $!";
