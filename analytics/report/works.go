package report

import "strings"

// works are what the methods cite, by the words that cite them.
var works = []struct{ cited, work string }{
	{"Adams, Cockshull and Cave 2001", "Adams SR, Cockshull KE, Cave CRJ (2001) Effect of temperature on the growth and development of tomato fruits. Annals of Botany 88:869–877."},
	{"Burnham and Anderson 2002", "Burnham KP, Anderson DR (2002) Model Selection and Multimodel Inference. 2nd ed. Springer."},
	{"Cochran 1977", "Cochran WG (1977) Sampling Techniques. 3rd ed. Wiley."},
	{"Efron and Tibshirani 1993", "Efron B, Tibshirani RJ (1993) An Introduction to the Bootstrap. Chapman & Hall."},
	{"Feller et al. 1995", "Feller C and others (1995) Phänologische Entwicklungsstadien von Gemüsepflanzen. Nachrichtenblatt des Deutschen Pflanzenschutzdienstes 47:217–232."},
	{"Harrington and Minges 1954", "Harrington JF, Minges PA (1954) Vegetable Seed Germination. University of California Agricultural Extension; as in Knott's Handbook for Vegetable Growers."},
	{"Morris 1983", "Morris CN (1983) Parametric empirical Bayes inference: theory and applications. Journal of the American Statistical Association 78:47–55."},
	{"Ranal and Santana 2006", "Ranal MA, Santana DG (2006) How and why to measure the germination process? Brazilian Journal of Botany 29:1–11."},
	{"Wilson 1927", "Wilson EB (1927) Probable inference, the law of succession, and statistical inference. Journal of the American Statistical Association 22:209–212."},
}

// Works lists the works that a paragraph of methods cites, by their first author.
func Works(methods string) []string {
	var out []string
	for _, w := range works {
		if strings.Contains(methods, w.cited) {
			out = append(out, w.work)
		}
	}
	return out
}
