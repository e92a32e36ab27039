# Exports of loggers, each with its truth, for tests/exports.bats.
#
#	awk -v dir=DIR -v shape=SHAPE -f exports.awk
#
# writes DIR/SHAPE-N.csv for N from 1 to 10, and DIR/SHAPE-N.truth with a line for each true reading:
# `DATE TIME FIELD=VALUE`. The numbers come from a generator of its own (Park and Miller, 1988), so that
# they are the same everywhere. A shape may also write .yaml (a mapping written by hand), .book, .form (the
# form of the time that is right), and .2.csv (a later export).

function rand_to(n) { state = (state * 16807) % 2147483647; return state % n }

function leap(y) { return (y % 4 == 0 && y % 100 != 0) || y % 400 == 0 }

function month_days(y, m) { return m == 2 ? 28 + leap(y) : m == 4 || m == 6 || m == 9 || m == 11 ? 30 : 31 }

# Minutes since 2026-01-01 00:00, wall time, to Y, M, D, h, m.
function civil(minutes) {
	Y = 2026; M = 1; D = int(minutes / 1440) + 1
	while (D > month_days(Y, M)) { D -= month_days(Y, M); if (++M > 12) { M = 1; Y++ } }
	h = int(minutes / 60) % 24; m = minutes % 60
}

function minutes_of(mo, da, ho, mi,    k, all) {
	for (k = 1; k < mo; k++) all += month_days(2026, k)
	return (all + da - 1) * 1440 + ho * 60 + mi
}

function iso(minutes) { civil(minutes); return sprintf("%04d-%02d-%02d %02d:%02d", Y, M, D, h, m) }

function put(text) { print text >csv }
function truth(when, fields,    n, part, i) {
	n = split(fields, part, " ")
	for (i = 1; i <= n; i++) print when, part[i] >true_file
}

function temp() { return sprintf("%.1f", 5 + rand_to(250) / 10) }
function rh() { return sprintf("%.1f", 35 + rand_to(400) / 10) }

function map(time, entries) {
	print time >yaml
	print "entries:" >yaml
	print "  - {event: air, subject: north, " entries "}" >yaml
}

function map_names() {
	map("time: {column: Time, form: \"YYYY-MM-DD hh:mm\"}", "temp: {column: \"T (C)\", unit: C}, rh: {column: \"RH (%)\", unit: \"%\"}")
}

# n rows from t on, by `step` minutes, in C and %; `ok`: they are true readings.
function rows(t, n, step, order, ok,    i, a, b) {
	for (i = 0; i < n; i++) {
		a = temp(); b = rh()
		put(iso(t + i * step) "," (order == "rh" ? b "," a : a "," b))
		if (ok) truth(iso(t + i * step), "temp=" a "C rh=" b "%")
	}
}

# Of the second half only what was written rightly may be entered: its truth is in the file too.
function heading(kind,    t, n, k, a) {
	t = minutes_of(6, 1 + rand_to(20), 0, 0); n = 5 + rand_to(20)
	put("Time,T (C),RH (%)")
	rows(t, n, 10, "", 1)
	if (kind == "unit") {
		put("Time,T (F),RH (%)")
		for (k = 0; k < n; k++) {
			a = sprintf("%.1f", 50 + rand_to(300) / 10)
			put(iso(t + (n + k) * 10) "," a ",50")
			truth(iso(t + (n + k) * 10), "temp=" a "F rh=50%")
		}
	} else if (kind == "rooms") {
		put("Time,Loft T (C),Loft RH (%)")
		rows(t, n, 10, "", 0)
	} else {
		put("Time,RH (%),T (C)")
		rows(t + n * 10, n, 10, "rh", 1)
	}
}

function titled(serial) { put("Serial: " serial); put("Logger,,"); put("Time,T (C),RH (%)") }

function make(    t, n, i, k, a, b, w, last, base, first, second) {
	t = minutes_of(6, 1 + rand_to(8), rand_to(20), 0)
	n = 10 + rand_to(20)
	if (shape == "heading-unit") { map_names(); heading("unit") }
	else if (shape == "heading-swap") { map_names(); heading("swap") }
	else if (shape == "heading-number") {
		map("file: {trailer: [\"Time*\"]}\ntime: {column: 1, form: \"YYYY-MM-DD hh:mm\"}",
			"temp: {column: 2, unit: C}, rh: {column: 3, unit: \"%\"}")
		heading("swap")
	} else if (shape == "heading-guess") heading("unit")
	else if (shape == "heading-rooms") heading("rooms")
	else if (shape == "two-serials") {
		titled(100 + i); rows(t, n, 10, "", 1); titled(777); rows(t + 3, n, 10, "", 0)
	} else if (shape == "two-times") {
		map_names()
		put("Time,T (C),RH (%)"); rows(t, n, 10, "", 1); put("Time,T (C),RH (%)"); rows(t + 1 + rand_to(8), n, 10, "", 0)
	} else if (shape == "missing-column" || shape == "missing-file") {
		if (shape == "missing-file") {
			print "file: {missing: [\"-1\"]}" >yaml
			map_names()
		}
		put("Time,T (C),RH (%)")
		for (i = 0; i < n; i++) {
			a = i % 4 == 1 ? "-1.0" : temp(); b = i % 3 == 2 ? "-1.0" : rh()
			put(iso(t + i * 10) "," a "," b)
			truth(iso(t + i * 10), "temp=" a "C" (b < 0 ? "" : " rh=" b "%"))
		}
	} else if (shape == "kelvin-rows" || shape == "kelvin-all") {
		put("Time,Temp (C),RH (%)")
		for (i = 0; i < n; i++) {
			a = temp(); b = rh(); w = shape == "kelvin-all" || i % 3 == 1
			put(iso(t + i * 10) "," (w ? sprintf("%.2f", 273.15 + a) : a) "," b)
			truth(iso(t + i * 10), "temp=" a "C rh=" b "%")
		}
	} else if (shape == "points-month-first" || shape == "points-one-day") {
		put("Time;T (C);RH (%)")
		form("MM.DD.YYYY hh:mm")
		t = minutes_of(6, 1 + rand_to(8), 20, 0)
		for (i = 0; i < (shape == "points-one-day" ? 20 : 60); i++) {
			a = temp(); b = rh(); civil(t + i * 10)
			put(sprintf("%02d.%02d.%04d %02d:%02d;%s;%s", M, D, Y, h, m, a, b))
			truth(iso(t + i * 10), "temp=" a "C rh=" b "%")
		}
	} else if (shape == "monthly" || shape == "daily-month-first" || shape == "monthly-twice") {
		put("Time,T (C),RH (%)")
		form(shape ~ /^monthly/ ? "DD/MM/YYYY hh:mm" : "MM/DD/YYYY hh:mm")
		k = 1 + rand_to(11); w = 480 + rand_to(8) * 60
		for (i = 2; i <= 21; i++) {
			if (shape != "monthly-twice" && i % 2) continue
			a = temp(); b = rh(); n = int(i / 2)
			t = shape ~ /^monthly/ ? minutes_of(n, k, 0, 0) : minutes_of(k, n, 0, 0)
			t += shape == "monthly-twice" ? 360 + 720 * (i % 2) : w
			civil(t)
			put(sprintf("%02d/%02d/%04d %02d:%02d,%s,%s", shape ~ /^monthly/ ? D : M, shape ~ /^monthly/ ? M : D, Y, h, m, a, b))
			truth(iso(t), "temp=" a "C rh=" b "%")
		}
	} else if (shape == "probe-rh") {
		put("Time,Probe 1 RH (%),Probe 1 T (C)")
		for (i = 0; i < n; i++) {
			a = temp(); b = rh(); put(iso(t + i * 10) "," b "," a); truth(iso(t + i * 10), "temp=" a "C rh=" b "%")
		}
	} else if (shape == "fraction") {
		put("Time,T (C),RH (%)")
		for (i = 0; i < n; i++) {
			a = temp(); b = 30 + rand_to(60); put(iso(t + i * 10) "," a "," sprintf("0.%02d", b))
			truth(iso(t + i * 10), "temp=" a "C rh=" b "%")
		}
	} else if (shape == "a-and-p" || shape == "own-halves" || shape == "morning-word" || shape == "half-column" || shape == "half-words") {
		put(shape ~ /^half/ ? "Time,Half,T (C),RH (%)" : "Time,T (C),RH (%)")
		t = minutes_of(6, 13 + rand_to(8), shape == "morning-word" ? 0 : 9, 0)
		for (i = 0; i < (shape == "morning-word" ? 11 : 28); i++) {
			a = temp(); b = rh(); civil(t + i * 60); k = h % 12 ? h % 12 : 12
			w = shape == "a-and-p" ? (h < 12 ? "a" : "p") : h < 12 ? " early" : " late"
			if (shape == "half-column") w = h < 12 ? ",A" : ",P"
			if (shape == "half-words") w = h < 12 ? ",early" : ",late"
			put(sprintf("%04d-%02d-%02d %02d:%02d%s,%s,%s", Y, M, D, k, m, w, a, b))
			truth(iso(t + i * 60), "temp=" a "C rh=" b "%")
		}
	} else if (shape == "zone-words" || shape == "zone-one" || shape == "zone-column") {
		# Europe/Berlin: the clock goes back on 2026-10-25 at 03:00
		put((shape == "zone-column" ? "Time,Zone" : "Time") ",T (C),RH (%)")
		t = minutes_of(10, shape == "zone-one" ? 20 : 24, rand_to(24), 0)
		for (i = 0; i < 80; i++) {
			a = temp(); b = rh(); k = t + i * 30
			w = shape == "zone-one" || k < minutes_of(10, 25, 3, 0) ? "CEST" : "CET"
			if (w == "CET") k -= 60
			put(iso(k) (shape == "zone-column" ? "," : " ") w "," a "," b)
			truth(iso(k) (k >= minutes_of(10, 25, 2, 0) && k < minutes_of(10, 25, 3, 0) ? w == "CEST" ? "+02:00" : "+01:00" : ""),
				"temp=" a "C rh=" b "%")
		}
	} else if (shape == "newest-first" || shape == "ends-in-first" || shape == "first-newest" || shape == "fixed-autumn") {
		# Pacific/Auckland: the clock goes back on 2026-04-05 at 03:00
		map("time: {column: Time, form: \"YYYY-MM-DD hh:mm\"}", "temp: {column: \"T (C)\", unit: C}")
		put("Time,T (C)")
		base = minutes_of(4, 5, 0, 0) + 10 * rand_to(6)
		last = minutes_of(4, 5, 2, 10 + 10 * rand_to(4))
		n = 0
		for (k = base; k < minutes_of(4, 5, 5, 0); k += 10) {
			w = iso(k < minutes_of(4, 5, 3, 0) ? k : k - 60)
			if (shape == "fixed-autumn") w = iso(k - 60)
			line[n] = w "," temp(); n++
			split(line[n - 1], b2, ",")
			civil(k)
			off[n - 1] = k < minutes_of(4, 5, 2, 0) ? "" : k < minutes_of(4, 5, 3, 0) ? "+13:00" : k < minutes_of(4, 5, 4, 0) ? "+12:00" : ""
			at[n - 1] = iso(k < minutes_of(4, 5, 3, 0) ? k : k - 60) off[n - 1] " temp=" b2[2] "C"
			whole[n - 1] = k <= last
		}
		if (shape == "ends-in-first" || shape == "first-newest") {
			second = csv; sub(/\.csv$/, ".2.csv", second)
			print "Time,T (C)" >second
			for (i = 0; i < n; i++) { k = shape == "first-newest" ? n - 1 - i : i; if (whole[k]) put(line[k]) }
			for (i = 0; i < n; i++) { k = shape == "first-newest" ? n - 1 - i : i; print line[k] >second; print at[k] >true_file }
			close(second)
		} else
			for (i = 0; i < n; i++) { k = shape == "newest-first" ? n - 1 - i : i; put(line[k]); print at[k] >true_file }
	} else if (shape == "autumn-long") {
		# a row for each quantity: of one moment, though the hour repeats
		print "time: {column: Time, form: \"YYYY-MM-DD hh:mm\"}" >yaml
		print "entries:" >yaml
		print "  - {event: air, subject: north, when: {column: What, is: T}, temp: {column: Value, unit: C}}" >yaml
		print "  - {event: air, subject: north, when: {column: What, is: H}, rh: {column: Value, unit: \"%\"}}" >yaml
		put("Time,What,Value")
		for (k = minutes_of(4, 5, 0, 10 * rand_to(6)); k < minutes_of(4, 5, 5, 0); k += 10) {
			a = temp(); b = rh(); w = iso(k < minutes_of(4, 5, 3, 0) ? k : k - 60)
			put(w ",T," a); put(w ",H," b)
			truth(w (k < minutes_of(4, 5, 2, 0) || k >= minutes_of(4, 5, 4, 0) ? "" : k < minutes_of(4, 5, 3, 0) ? "+13:00" : "+12:00"),
				"temp=" a "C rh=" b "%")
		}
	} else if (shape == "against") {
		map_names()
		put("Time,T (C),RH (%)")
		book = csv; sub(/csv$/, "book", book)
		for (i = 0; i < n; i++) {
			a = temp(); b = rh(); w = iso(t + i * 10)
			put(w "," a "," b)
			k = i % 5
			if (k == 0) { print w " air north temp=" a + 1 "C rh=" b "% # mended" >book; continue }
			if (k == 1) { print w " air north rh=" b "0%" >book; truth(w, "temp=" a "C"); continue }
			if (k == 2) { print w " air north rh=" b "% temp=" a "0C" >book; continue }
			truth(w, "temp=" a "C rh=" b "%")
		}
		print iso(t - 500) " air north temp=20C" >book
		close(book)
	} else if (shape == "serial" || shape == "serial-days" || shape == "unix-part") {
		put((shape == "serial-days" ? "Date" : "Time") ",T (C),RH (%)")
		form("serial")
		for (i = 0; i < n; i++) {
			a = temp(); b = rh(); k = shape == "serial-days" ? int(t / 1440) * 1440 + i * 1440 : t + i * 10
			# 46023 is 2026-01-01, and 1767225600 the same in seconds
			w = shape == "serial-days" ? 46023 + k / 1440 : shape == "serial" ? sprintf("%.12f", 46023 + k / 1440) : sprintf("%.3f", 1767225600 + k * 60 + (i % 8) / 8)
			put(w "," a "," b)
			truth(iso(k) (shape == "unix-part" ? "Z" : ""), "temp=" a "C rh=" b "%")
		}
	} else if (shape == "long-digits") {
		put("Time,T (F),RH (%)")
		for (i = 0; i < n; i++) {
			a = sprintf("%.1f", 60 + rand_to(99) / 10); b = rh()
			put(iso(t + i * 10) "," a (i % 3 ? "00000000000006" : "") "," (i % 4 ? b : sprintf("%.1f", b - 0.1) "9999999999999964"))
			truth(iso(t + i * 10), "temp=" a "F rh=" b "%")
		}
	} else if (shape == "unit-column" || shape == "unit-long") {
		put(shape == "unit-long" ? "Time,Parameter,Value,Unit" : "Time,Temp,Unit,RH (%)")
		for (i = 0; i < n; i++) {
			a = temp(); b = rh(); w = i > n / 2 ? "F" : "C"
			if (w == "F") a = sprintf("%.1f", a * 1.8 + 32)
			if (shape == "unit-long") {
				put(iso(t + i * 10) ",Temperature," a "," w); put(iso(t + i * 10) ",Humidity," b ",%")
			} else put(iso(t + i * 10) "," a "," w "," b)
			truth(iso(t + i * 10), "temp=" a w " rh=" b "%")
		}
	} else if (shape == "fixed-spring") {
		# the works' clock is Europe/Berlin, which skips 02:00 to 03:00 on 2026-03-29; the logger does not
		put("Time,T (C),RH (%)")
		rows(minutes_of(3, 28, 12 + rand_to(12), 0), 60, 30, "", 0)
	} else if (shape == "offset-hours") {
		# 12 may be hours, or quarters of an hour
		put("Time,UTC offset,T (C),RH (%)")
		for (i = 0; i < n; i++) {
			a = temp(); b = rh(); put(iso(t + i * 10) ",12," a "," b); truth(iso(t + i * 10) "+12:00", "temp=" a "C rh=" b "%")
		}
	} else if (shape == "sensor-lines") {
		put("Sensor,Time,T (C),RH (%)")
		for (i = 0; i < n; i++) {
			a = temp(); b = rh(); k = t + i * 10
			put("Room " i % 2 + 1 "," (i % 7 == 3 ? "" : iso(k)) "," a "," b)
			if (i % 7 != 3) truth(iso(k), "temp=" a "C rh=" b "%")
		}
	} else { print "no shape " shape >"/dev/stderr"; exit 1 }
}

function form(text,    f) { f = csv; sub(/csv$/, "form", f); print text >f; close(f) }

BEGIN {
	for (number = 1; number <= 10; number++) {
		state = 1000 + number * 7919
		for (i = 0; i < 5; i++) rand_to(10)
		csv = dir "/" shape "-" number ".csv"
		true_file = dir "/" shape "-" number ".truth"
		yaml = dir "/" shape "-" number ".yaml"
		printf "" >true_file
		make()
		close(csv); close(true_file); close(yaml)
	}
}
