#!/usr/bin/perl
# other_workbook.pl OUT DAYS-FROM-1904 - the workbook of the test as a writer that is not ours makes it.
use strict;
use warnings;
use Excel::Writer::XLSX;

my ($out, $from_1904) = @ARGV;
my $book = Excel::Writer::XLSX->new($out) or die "$out: $!";
$book->set_1904() if $from_1904;
my $notes = $book->add_worksheet('Notes');
$notes->hide;
my $sheet = $book->add_worksheet('Readings 1');
$sheet->activate;
$sheet->set_first_sheet;
my $moment = $book->add_format(num_format => 'dd/mm/yyyy hh:mm');
my $percent = $book->add_format(num_format => '0.0%');
$sheet->write(0, 0, 'Logger in the store');
$sheet->write_row(2, 1, ['time', 'temp_C', 'rh']);
$sheet->write_date_time(3, 1, '2026-06-09T14:00', $moment);
$sheet->write(3, 2, 23.5);
$sheet->write(3, 3, 0.81, $percent);
$sheet->write_date_time(4, 1, '2026-06-09T14:10', $moment);
$sheet->write_formula(4, 2, '=C4+0.1', undef, 23.6);
$sheet->write(4, 3, 0.805, $percent);
$book->close;
