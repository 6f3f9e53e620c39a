package report

// Cautions are the usual ones around plants in water, in the order of what can go wrong first. They are shown on every
// report and defer to local rules and licensed practice.
//
// Sources: fallen and spoiled fruit, 21 CFR 112 as summarised for consumers and FDA advice on damaged tomatoes; bleach and
// acids, Chemical & Engineering News 97(45), 2019, and university health services; tomatine, Friedman and Levin (1995),
// J. Agric. Food Chem. 43:1507–1511. Electricity near water: common practice.
func Cautions() []string {
	return []string{
		"Look before you pick, and before you eat: ripe by the count or by a curve doesn't mean safe. Discard mouldy, leaking or fallen fruit; count or weigh it first, for the record.",
		"Unplug pump, heater and lights before hands go in or before cleaning. Keep plugs above the water line and use an outlet with residual-current (ground-fault) protection; wiring is work for a licensed electrician.",
		"Never mix bleach with anything: with acids, also those that lower pH, it gives off chlorine, with ammonia chloramines. Rinse well between the two, add acid to water and not water to acid, wear gloves and eye protection.",
		"Don't eat leaves or stems, and keep plants and green fruit from children and pets. If someone may be poisoned, call a poison centre.",
		"Follow the instructions of the equipment and the electrical, waste and food rules where you live; ask a licensed person where in doubt.",
	}
}
