package germination

// The published emergence of tomato seed sown half an inch deep: days, and normal seedlings in percent, by soil temperature
// (Harrington and Minges 1954, as in Knott's Handbook for Vegetable Growers; read in second-hand copies). At 0, 5 and 40 °C none.
var (
	soilC  = []float64{10, 15, 20, 25, 30, 35}
	daysAt = []float64{43, 14, 8, 6, 6, 9}
	normal = []float64{82, 98, 98, 97, 83, 46}
)

// Published is what the published table has at a temperature, on the line between its rows.
type Published struct{ Days, NormalPercent float64 }

// PublishedAt looks a temperature of the soil up; ok is false outside 10 to 35 °C, where the table has no emergence to go by.
func PublishedAt(c float64) (p Published, ok bool) {
	if !(c >= soilC[0] && c <= soilC[len(soilC)-1]) {
		return Published{}, false
	}
	i := 1
	for soilC[i] < c {
		i++
	}
	part := (c - soilC[i-1]) / (soilC[i] - soilC[i-1])
	line := func(y []float64) float64 { return y[i-1] + part*(y[i]-y[i-1]) }
	return Published{line(daysAt), line(normal)}, true
}
