// Prints what the npm package psychrolib (MIT; an implementation of ASHRAE 2017 independent of
// ours) answers, as the table tests/outside/data/psychrolib.tsv: quantity, dry bulb in C, argument,
// pressure in Pa, value (temperatures in C, humidities and their arguments in %, pressures in Pa;
// the argument of a pressure is a height in m).
const psychro = require("psychrolib");

psychro.SetUnitSystem(psychro.SI);
const rows = [];
const add = (name, dry, arg, pressure, value) =>
	rows.push([name, dry, arg, pressure, value.toPrecision(9)].join("\t"));

for (let t = 1; t <= 99; t += 2)
	add("saturation", t, 0, 0, psychro.GetSatVapPres(t));
for (let t = 5; t <= 60; t += 5)
	for (let rh = 20; rh <= 90; rh += 10) {
		const dew = psychro.GetTDewPointFromRelHum(t, rh / 100);
		if (dew > 0.5)
			add("dew", t, rh, 0, dew);
	}
for (const pressure of [101325, 90000])
	for (let t = 5; t <= 80; t += 5)
		for (let rh = 10; rh <= 100; rh += 15) {
			const wet = psychro.GetTWetBulbFromRelHum(t, rh / 100, pressure);
			if (wet > 0.5)
				add("wet", t, rh, pressure, wet);
		}
for (const pressure of [101325, 90000])
	for (let t = 5; t <= 80; t += 5)
		for (let depression = 0; depression <= 12; depression += 1.5) {
			const wet = t - depression;
			if (wet > 0.5 && psychro.GetHumRatioFromTWetBulb(t, wet, pressure) > 0.0005)
				add("rh", t, wet, pressure, 100 * psychro.GetRelHumFromTWetBulb(t, wet, pressure));
		}
for (const altitude of [0, 50, 300, 1000, 2500])
	add("pressure", 0, altitude, 0, psychro.GetStandardAtmPressure(altitude));
process.stdout.write("# psychrolib 1.1.1, printed by psychrolib.js\n" +
	"quantity\tdry_c\targument\tpressure_pa\tvalue\n" + rows.join("\n") + "\n");
