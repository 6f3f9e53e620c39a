package api

import (
	"bytes"
	"embed"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"
)

// recipeFiles are programs and files that users copy. The documentation shows them, and tests run them, as they are here.
//
//go:embed docs/recipes
var recipeFiles embed.FS

// recipe is one of them.
type recipe struct {
	file  string
	title string
	about string
	run   string // the command line; empty for a file that isn't run
}

// recipeGroup is the recipes of one way of working.
type recipeGroup struct {
	id, title string
	about     string
	recipes   []recipe
}

// recipeGroups lists every file of the folder.
func recipeGroups() []recipeGroup {
	return []recipeGroup{
		{"recipes-shell", "From a phone's shell, with curl", "Needs a POSIX shell, curl 7.76 or newer, and awk.", []recipe{
			{"start-trial.sh", "Start a trial of four plants", "Makes a season, a place, a cultivar and four plants in one request, all or none of them.", "sh start-trial.sh"},
			{"record-visit.sh", "Record a visit to four plants", "Asks for the numbers plant by plant and keeps them in a file until the server has them. Sending a file twice stores it once.", "sh record-visit.sh"},
			{"send-temperatures.sh", "Send a logger's temperatures", "Turns a logger's own file into the three columns that are read here.", `sh send-temperatures.sh logger.csv "south window" +01:00`},
		}},
		{"recipes-spreadsheet", "With a spreadsheet", "", []recipe{
			{"plants.csv", "The sheet plants.csv", "One row for each plant.", ""},
			{"counts.csv", "The sheet counts.csv", "One row for each plant and visit, as a spreadsheet set to decimal commas saves it.", ""},
		}},
		{"recipes-python", "With Python", "Needs Python 3.8 or newer and no other package.", []recipe{
			{"counts_to_csv.py", "Fetch every count, page by page", "Follows the cursor from page to page and writes a CSV file.", `python3 counts_to_csv.py "Autumn 2026 (invented)" counts-of-autumn.csv`},
			{"ripeness.py", "Print ripening and fruit past ripe", "When half of each cultivar's fruit had reached each stage, with its interval, and which plants to pick first.", `python3 ripeness.py "Autumn 2026 (invented)"`},
			{"correct_count.py", "Correct a count without undoing somebody else's edit", "Sends the version that was read as If-Match; the server refuses the edit if there is a newer one.", "python3 correct_count.py COUNT_ID red 3"},
		}},
		{"recipes-r", "With R", "Needs R 4.1 or newer. The first needs no package, the others httr2 and jsonlite.", []recipe{
			{"picked.R", "Read exported files with read.csv", "Adds up fruit and mass picked by cultivar from the files that vinetally export writes.", "Rscript picked.R my-season"},
			{"temperatures.R", "Read a logger's file and send it", "read.csv2 reads decimal commas; the readings go out as one CSV.", `Rscript temperatures.R logger.csv "south window" Europe/Lisbon`},
			{"ripeness.R", "Fetch curves and fruit past ripe into data frames", "With httr2; counts come page by page.", `Rscript ripeness.R "Autumn 2026 (invented)"`},
		}},
	}
}

// contents are the recipe's bytes as they are served.
func (r recipe) contents() []byte {
	body, err := recipeFiles.ReadFile("docs/recipes/" + r.file)
	if err != nil { // it is embedded; a test reads every one
		panic(err)
	}
	return body
}

// shown is the contents for reading on a page: without the byte-order mark and the carriage returns of a spreadsheet.
func (r recipe) shown() string {
	return strings.ReplaceAll(string(bytes.TrimPrefix(r.contents(), []byte("\ufeff"))), "\r\n", "\n")
}

func (r recipe) address() string { return "/docs/recipes/" + r.file }

func recipeNamed(file string) (recipe, bool) {
	for _, g := range recipeGroups() {
		if at := slices.IndexFunc(g.recipes, func(r recipe) bool { return r.file == file }); at >= 0 {
			return g.recipes[at], true
		}
	}
	return recipe{}, false
}

// recipe answers one file, byte for byte.
func (s *server) recipe(c *gin.Context) error {
	if err := parseQuery(c).err(); err != nil {
		return err
	}
	r, ok := recipeNamed(c.Param("recipe"))
	if !ok {
		return refuse(noSuchAddress, "there is no recipe %s; /docs lists them", strconv.Quote(c.Param("recipe")))
	}
	media := "text/plain; charset=utf-8"
	if path.Ext(r.file) == ".csv" {
		media = "text/csv; charset=utf-8"
	}
	write(c.Writer, http.StatusOK, media, r.contents())
	return nil
}

func recipeOperation() operation {
	return operation{tag: "pages", parameters: []string{"recipe"}, problems: []problemKind{noSuchAddress, invalidParameter, internalError},
		answers: []answerForm{{http.StatusOK, "The file.", nil, []form{{"text/plain", ""}, {"text/csv", ""}}}}}
}
