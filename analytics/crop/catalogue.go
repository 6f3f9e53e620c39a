package crop

// Catalogue is what a site's records refer to by name: its seasons, places, scales and cultivars, each by name.
type Catalogue struct {
	Change    int64 // the site's change number when it was read
	Seasons   []Season
	Places    []Place
	Scales    []Scale
	Cultivars []Cultivar
}
