#!/usr/bin/env bats
# The zone reader against the time-zone database's own tool and against date(1).
# Source: zdump (tzcode, in Debian's libc-bin) on the system's database, every zone that
# zone1970.tab lists, 1800 to 2150.

B=${B:-build}

@test "every change of every zone is where zdump has it" {
	run "$B/unit/zone" all
	echo "$output"
	[ "$status" -eq 0 ]
}
