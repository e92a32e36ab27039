# air.awk - a book of the air in six places, a reading a minute in each: it goes with the hour and the season, and
# wavers (awk -v lines=1000000 -f air.awk).

function wander(i) { at[i] += (rand() - 0.5) * 0.3; at[i] *= 0.995; return at[i] }
BEGIN {
	srand(1)
	n = split("north south store/r1 store/bats cane yard/b1", place, " ")
	split("28 30 19.5 19 20 12", warm, " "); split("60 55 52 53 50 75", damp, " ")
	split("3 3 1.5 1.5 1.5 5", swing, " ")
	split("31 28 31 30 31 30 31 31 30 31 30 31", length_of, " ")
	for (year = 2024; made < lines; year++)
		for (month = 1; month <= 12 && made < lines; month++)
			for (day = 1; day <= length_of[month] && made < lines; day++)
				for (minute = 0; minute < 1440 && made < lines; minute++) {
					turn = sin((minute - 540) / 1440 * 6.2832) + sin((month - 1) / 12 * 6.2832)
					for (i = 1; i <= n && made < lines; i++) {
						temp = warm[i] + swing[i] * turn + wander(i)
						rh = damp[i] - 2 * swing[i] * turn + 2 * wander(i + n)
						printf "%d-%02d-%02d %02d:%02d air %s temp=%.1fC rh=%.1f%% meter=hyg%d\n", year, month, day,
							minute / 60, minute % 60, place[i], temp, (rh > 95 ? 95 : rh), i
						made++
					}
				}
}
