package thermal

// Table is a published relation of temperature and the days that a phase takes at it, kept constant.
type Table struct {
	Phase string    // in words
	AirC  []float64 // °C, rising
	Days  []float64 // falling
	// BaseC is the temperature at which development stops, where the line of 1/days on temperature meets zero, and BaseSE its
	// standard error. The line is fitted over the part of the table that is straight.
	BaseC, BaseSE float64
	Source        string // with how far it can be trusted
}

// colouringTable is the days from breaker to red-ripe of detached fruit. Its line over all six points has base 7.9 ± 1.0 °C.
var colouringTable = Table{
	Phase:  "from breaker to red-ripe",
	AirC:   []float64{12.5, 15, 17.5, 20, 22.5, 25},
	Days:   []float64{16, 13, 10, 8, 6, 5},
	BaseC:  7.88986832081837,
	BaseSE: 0.963740897238776,
	Source: "UC Davis Postharvest Center (M. Cantwell, Optimum procedures for ripening tomatoes), detached fruit; the grid is quoted from memory",
}

// growingTable is the days from flower opening to ripe fruit on the plant. Its line through 14 to 22 °C has base 6.7 °C; at
// 26 °C fruit take longer than that line says, since warmth stops helping. Three points in a line leave no honest standard
// error of the base, so it has that of the other table.
var growingTable = Table{
	Phase:  "from flower to ripe fruit",
	AirC:   []float64{14, 18, 22, 26},
	Days:   []float64{95, 65, 46, 42},
	BaseC:  6.66771323914181,
	BaseSE: 0.963740897238776,
	Source: "Adams, Cockshull and Cave (2001), Annals of Botany 88:869–877",
}
