# How many probe entries. A time may come between the date and the event.
$2 == "probe" || ($2 ~ /:/ && $3 == "probe") { n++ }
END { print n + 0 }
