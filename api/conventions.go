package api

import "strings"

// convention is a rule that holds for every route.
type convention struct{ title, text string }

// conventions are told in the document and on its page.
func conventions() []convention {
	return []convention{
		{"Bodies", "JSON in UTF-8 with snake_case names, sent as `application/json`. Every name once and as it is written here; unknown names are refused. " +
			"Whole numbers are written without a point or an exponent. What only answers have (`version`, `recorded_at`, `recorded_by`, `warnings`, `deleted`) may be sent back and is ignored. " +
			"A record's body may have 1 MiB, one with many records 64 MiB."},
		{"Ids", "UUIDs. Make your own, best of version 7, and a record can be sent again without harm: the same contents change nothing."},
		{"Units", "Mass in grams, temperature in °C, time as RFC 3339 with an offset, days as YYYY-MM-DD in the place's zone."},
		{"Days alone", "Where a time is asked for, a day alone will do, because notebooks have dates. It stands at noon in the place's zone, `time_known` is then false, and it counts as the whole day: " +
			"it is in the future only after today."},
		{"Order at one time", "A loss found at a visit came before its count. Picked, thinned and cleared fruit came after it. `before_count` says otherwise."},
		{"Coverage", "A stage that was not counted is left out, never 0. A count that was given up says `at_least`, a glance says `about`, one of some trusses says which. What such a count leaves open is null " +
			"in analytics, beside a lower bound."},
		{"Evidence", "Records that contradict each other are kept, since both were seen; the answer to a write has a warning, and the plant's ledger lists it. What breaks a rule of a single record is refused."},
		{"Forecasts", "A number of fruit to come is a distribution: its mean, and quantiles, each the fewest fruit that it doesn't exceed with that chance. Days ahead are times of 24 hours from `as_of`, numbers of fruit " +
			"add up from there. The intervals are calibrated on simulated trials; the warnings say what a forecast rests on. Ripe by forecast doesn't mean safe to eat. A repeated question is answered from memory until anything is recorded; a season of a " +
			"thousand plants takes several seconds the first time."},
		{"Versions", "Every change of a record makes a version, and its history keeps them all. `base_version` in a body, or `If-Match`, says which version a change was made from; a change made from an older one is " +
			"refused with 409, or 412 where `If-Match` said it. Contents that the record had before change nothing, so that what was sent long ago and comes again reverts nothing; restore goes back on purpose."},
		{"Lists", "A page has `items` and `next`, the cursor of the following page or null. Pages stay right while records are added or deleted."},
		{"Errors", "RFC 9457, application/problem+json: `type` names the kind, `detail` says what is wrong and how to mend it, `errors` lists every place. Of a request with many records nothing is stored unless all is. Who asks for a page with `Accept: text/html` is answered in a page."},
		{"Reading", "HEAD is answered wherever GET is. An address with a method it doesn't have is answered 405 with Allow, an address that isn't listed 404. Answers over 1.4 kB are compressed for clients that take gzip."},
		{"Who", "`X-Recorded-By` says who records. There are no accounts: keep the server on your own machine, or behind something that asks who is there. " +
			"Requests are answered for localhost, for addresses in numbers, for the machine's own name and for the names that `--host` gave the server; for any other name they are refused with 421, so that no page of another site can pass itself off as this server's."},
	}
}

func conventionsText() string {
	var b strings.Builder
	for _, c := range conventions() {
		b.WriteString("**" + c.title + ".** " + c.text + "\n\n")
	}
	return strings.TrimSpace(b.String())
}
