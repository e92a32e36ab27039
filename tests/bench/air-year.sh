#!/bin/sh
# air-year.sh - a year of ten-minute readings of five places (262,770 lines) through wy-air on one
# core, next to wc -l of the same file. Asked: under a quarter of a second and at most 8 times wc -l.
# Ratios are printed; they are of this machine.
set -eu
cd "$(dirname "$0")/../.."
. tests/bench/common.sh
book=$dir/air-year.wy
house=tests/cases/air/time.yaml

make_book() {
	awk 'BEGIN {
		srand(2)
		n = split("store/r1 store/bats cane north yard/b1", place, " ")
		split("19.5 19 20 28 12", warm, " "); split("52 53 50 60 75", damp, " ")
		split("31 28 31 30 31 30 31 31 30 31 30 31", length_of, " ")
		for (month = 1; month <= 12; month++)
			for (day = 1; day <= length_of[month]; day++)
				for (minute = 0; minute < 1440; minute += 10) {
					if (month == 9 && day == 27 && minute >= 120 && minute < 180)
						continue   # the clock skips this hour
					for (i = 1; i <= n; i++) {
						at[i] = 0.99 * at[i] + (rand() - 0.5)
						temp = warm[i] + 2 * sin((minute - 540) / 229.2) + at[i]
						printf "2026-%02d-%02d %02d:%02d air %s temp=%.1fC rh=%.1f%% meter=hyg%d\n", month, day,
							minute / 60, minute % 60, place[i], temp, damp[i] - 3 * at[i], i
					}
				}
	}'
}

[ -s "$book" ] || make_book >"$book"
[ "$(wc -l <"$book")" = 262770 ]

# Each in its turn, round after round, so that what else the machine does falls on all; the least time counts.
measure() { # measure NAME COMMAND...
	name=$1
	shift
	printf '%s\t%s\n' "$name" "$("$dir/best" 5 "$@" 2>/dev/null)"
}

one_round() {
	measure 'wc -l' wc -l "$book"
	measure 'wy-air --workers=1 (with EMC and bands)' "$bin/wy-air" -H $house -w 1 "$book"
	measure 'wy-air --timed --workers=1' "$bin/wy-air" -H $house --timed -w 1 "$book"
	measure 'wy-air --timed --by=place,day --workers=1' "$bin/wy-air" -H $house --timed --by=place,day -w 1 "$book"
	measure 'wy-air --spells --workers=1' "$bin/wy-air" -H $house --spells -w 1 "$book"
	measure 'wy-air --gaps --workers=1' "$bin/wy-air" -H $house --gaps -w 1 "$book"
	measure 'wy-air --outlook --workers=1' "$bin/wy-air" -H $house --outlook --on=2026-12-31 -w 1 "$book"
	measure 'wy-air --chart --workers=1' "$bin/wy-air" -H $house --chart --reference=2026-01-01..2026-01-31 -w 1 "$book"
	measure 'wy-air --timed (all cores)' "$bin/wy-air" -H $house --timed "$book"
}

round=0
while [ $((round += 1)) -le 8 ]; do
	one_round
done | awk -F'\t' '
	{ split($2, got, " "); if (!($1 in least)) { order[++n] = $1; least[$1] = got[1] }
		if (got[1] < least[$1]) least[$1] = got[1]
		if (got[2] > kb[$1]) kb[$1] = got[2] }
	END { for (i = 1; i <= n; i++)
		printf "%-44s %8.4f s %7.2f x wc -l %7.1f MB\n", order[i], least[order[i]], least[order[i]] / least[order[1]], kb[order[i]] / 1024 }'
