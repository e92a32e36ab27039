# What wy-reckon answers, against figures of others; the source stands behind each.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
	PATH="${WITHY_BIN:-$PWD/build/bin}:$PATH"
	unset WITHY_HOUSE
}

# Each row: the words, a row of the answer, its value, within what, the source.
@test "reckon: published and independently computed figures" {
	bad=0 n=0
	while IFS='|' read -r words row value within source; do
		n=$((n + 1))
		wy-reckon $words --as=tsv | awk -F'\t' -v row="$row" -v want="$value" -v within="$within" '
			$1 == row { d = $2 - want; found = 1; if (d < 0) d = -d; if (d > within) { print "got " $2; exit 1 } }
			END { if (!found) exit 1 }' || { echo "$words: $row is not $value ($source)"; bad=1; }
	done <<-END
	tolerance n=4 cover=90% sure=95%|k1|4.161933|5e-7|noncentral t in R
	tolerance n=4 cover=90% sure=95%|k2|5.368071|5e-7|quadrature in R and SciPy; Meeker, Hahn, Escobar table J.5b prints 5.368
	tolerance n=43 cover=90% sure=99%|k1|1.8740|5e-5|NIST/SEMATECH e-Handbook 7.2.6.3
	tolerance n=6 cover=90% sure=99%|k1|4.4111|5e-5|NIST/SEMATECH e-Handbook 7.2.6.3
	tolerance n=20 cover=95% sure=95%|k2|2.760|5e-4|Meeker, Hahn, Escobar (2017), table J.5b
	sample cover=90% sure=95%|one_end|29|0|Wilks (1941); NIST/SEMATECH e-Handbook 7.2.6.4
	sample cover=90% sure=95%|both_ends|46|0|Wilks (1941)
	sample cover=95% sure=95%|both_ends|93|0|Wilks (1941)
	sample cover=99% sure=95%|both_ends|473|0|Wilks (1941)
	sample cover=90% sure=95% bad=3|pieces|76|0|pbinom in R
	share k=3 n=50 sure=95%|lower|0.012548588|5e-10|binom.test in R, mpmath
	share k=3 n=50 sure=95%|upper|0.165481947|5e-10|binom.test in R, mpmath
	share k=3 n=50 sure=95%|wilson_lower|0.020614970|5e-10|prop.test in R
	share k=4 n=20 sure=90%|lower|0.071354|5e-7|NIST/SEMATECH e-Handbook 7.2.4.1
	share k=4 n=20 sure=90%|upper|0.401028117332|5e-13|mpmath; the page prints 0.401029
	share k=0 n=4 sure=95%|upper_alone|0.527|5e-4|1 - 0.05^(1/4)
	share k=0 n=4 sure=95% all=3500|upper_alone|0.5269|5e-5|phyper in R
	rh temp=20C emc=9%|rh|48.29965|5e-6|inverse of Wood Handbook FPL-GTR-282 equation 4-5, in R
	depression temp=20C depression=5C|rh|58.9|0.05|ASHRAE 2017, through psychrolib
	depression temp=20C depression=5C|emc|10.8|0.05|and Wood Handbook equation 4-5
	depression temp=30C depression=4C|rh|73.1|0.05|the same
	depression temp=30C depression=4C|emc|13.5|0.05|the same
	depression temp=40C depression=8C|rh|57.4|0.05|the same
	depression temp=40C depression=8C|emc|9.8|0.05|the same
	depression temp=50C depression=10C|rh|54.6|0.05|the same
	depression temp=122F depression=18F|rh|54.6|0.05|the same, in Fahrenheit
	depression temp=122F depression=18F|emc|8.8|0.05|the same, in Fahrenheit
	equalize temp=40C target=10%|emc|8|0|USDA Agriculture Handbook 188: two points below the target
	equalize temp=40C target=10%|rh|46.0|0.05|Wood Handbook equation 4-5
	equalize temp=40C target=12%|rh|58.9|0.05|the same
	movement size=100mm from=14% to=6% shrinkage=8.7%|coefficient|0.00308|5e-6|Wood Handbook chapter 13, black willow, tangential (from memory)
	movement size=100mm from=14% to=6% shrinkage=3.3%|coefficient|0.00112|5e-6|Wood Handbook Table 13-5, black willow, radial
	splice width=38mm handle=12% handleto=9% blade=9% cane=0.0020|gap|0.23|0.005|D C (M2 - M1), Wood Handbook chapter 13; the coefficient is an example
	drying from=28% to=10% emc=8% k=0.1189|time|19.4|0.05|M = 8 + 20 exp(-k t), by hand
	drying from=28% to=10% emc=8% then=22% after=3d|k|0.1189|5e-5|the same
	drying from=28% to=17.8% emc=8% k=0.1189|time|6|0.02|the same
	drying from=28% to=14.86% emc=8% k=0.1189|time|9|0.02|the same
	END
	[ "$bad" = 0 ] && [ "$n" -ge 35 ]
}
