// Package forecast says what will be ripe when: newly ripe fruit by plant, cultivar and season for each of the next days as whole
// distributions, what has hung ripe for too long already, which days to pick on, and which plants to count next.
//
// It stands on package ripening, whose cohort filter knows what hangs on each plant. The number of fruit that become ripe by a day is
// taken as a mixture of three count distributions, one for each kind of weather, each with the mean and the variance that the filter gives: of chance, of what
// isn't known of the fruit on the plant, and of what isn't known of the cultivar and the plant. In simulated trials such forecasts are
// calibrated (see DEVELOPERS.md); a real season has ways of its own.
package forecast
