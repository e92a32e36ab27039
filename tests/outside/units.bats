# Exact unit factors. International yard and pound agreement (1959): 1 lb = 453.59237 g, so
# 1 oz = 28.349523125 g, and 1 in = 25.4 mm; the Fahrenheit scale by its definition.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
	PATH="${WITHY_BIN:-$PWD/build/bin}:$PATH"
}

@test "units: exact factors both ways" {
	bad=0
	while read -r value unit want; do
		got=$(wy-reckon convert "value=$value" "to=$unit" --as=tsv --no-header | cut -f2)
		[ "$got" = "$want" ] || { echo "$value in $unit: $got, not $want"; bad=1; }
	done <<-END
	1lb g 453.59237
	1oz g 28.349523125
	1lb oz 16
	453.59237g lb 1
	28.349523125g oz 1
	2lb9.5oz g 1176.5052096875
	2lb9.5oz oz 41.5
	3lb kg 1.36077711
	1kg g 1000
	4.230kg g 4230
	1in mm 25.4
	25.4mm in 1
	1ft mm 304.8
	1ft6in mm 457.2
	1ft in 12
	38in cm 96.52
	28in mm 711.2
	1m cm 100
	1m mm 1000
	-40C F -40
	0C F 32
	100C F 212
	37C F 98.6
	20C F 68
	-40F C -40
	32F C 0
	212F C 100
	98.6F C 37
	1d h 24
	1w h 168
	2w d 14
	84h w 0.5
	2.5m3 m3 2.5
	7kWh kWh 7
	END
	[ "$bad" = 0 ]
}
