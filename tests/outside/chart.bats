# needs: R
# Control charts beside R's arima(), and the share of good days that they mark.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "charts of days that resemble their neighbours, beside R" {
	Rscript --vanilla tests/outside/chart.R >"$BATS_TEST_TMPDIR/chart.tsv"
	"${WITHY_BIN:-build/bin}/../outside/chart" <"$BATS_TEST_TMPDIR/chart.tsv"
}
