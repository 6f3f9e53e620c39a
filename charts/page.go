package charts

// Page is everything one HTML page shows, top to bottom. All text is plain text: nothing in it is read as HTML.
type Page struct {
	// Title is the page's heading and the window's title; it may not be empty.
	Title string
	// Subtitle stands under the title: the season, the place, the cultivars.
	Subtitle string
	// Language is the language of the texts as a BCP 47 tag; "en" if empty. The page's own few words are English.
	Language string
	// AsOf says which moment the page speaks of, as it shall be read: "3 Feb 2026, 18:00".
	AsOf string
	// Invented is a sentence that says the records are made up; empty for real records. It stands above everything.
	Invented string
	// Nav are links to other pages, above the title. A file that is opened from disk usually has none.
	Nav []Link
	// Answer is the result in words, the first thing to be read.
	Answer []Statement
	// KeyFigures is the strip of single numbers under the answer.
	KeyFigures []KeyFigure
	Sections   []Section
	// RestsOn says what the results rest on: visits, fruit, readings, the interval level.
	RestsOn []string
	// Warnings are found by the analytics in these records.
	Warnings []string
	// Cautions hold whatever the records say: what the method can't know.
	Cautions []string
	// Footer is a last small line, such as the name and version of the program.
	Footer string
}

// Severity says how much a statement or a number wants to be acted on. It is shown by a word and a mark, not by colour
// alone.
type Severity int

// The severities, calm to urgent.
const (
	Plain Severity = iota // says how things stand
	Look                  // deserves a look
	Act                   // something should be done now
)

// Statement is one sentence of the answer.
type Statement struct {
	Text     string
	Severity Severity
}

// KeyFigure is one number of the strip: "Standing", "43", "fruit", "on 8 plants". An unknown Value is said in words.
type KeyFigure struct {
	Label    string
	Value    string
	Unit     string
	Detail   string
	Severity Severity
}

// Link leads somewhere. Href is a relative address or an http(s) one; others are made harmless by the template.
type Link struct {
	Text   string
	Href   string
	Detail string
}

// Section is one question with its chart, its table and its notes, each of which may be missing.
type Section struct {
	// ID is the section's anchor: a lower-case letter, then letters, digits and hyphens; unique on the page. Empty means
	// its position: "s1", "s2".
	ID      string
	Heading string
	// Sentence says in one sentence what the chart shows. It is also the chart's text alternative.
	Sentence string
	// Figure is the chart; nil if there is none.
	Figure Figure
	// Table holds the numbers of the chart; beside a chart it is folded away, alone it stands open.
	Table *Table
	// Links are a list of links with their details, for pages that lead to others.
	Links []Link
	Notes []string
	// Empty says why there is nothing to show, and how that would change.
	Empty string
}

// Table is a plain table of text. Numbers are text already, so that their digits are the caller's.
type Table struct {
	// Caption names the table; it may not be empty.
	Caption string
	Columns []Column
	// Rows have a cell for every column. The first cell of a row is its heading.
	Rows [][]string
	// Stack lays the cells of a row under each other on a narrow screen, each with its column's name: for few rows with a
	// long text in them. Other tables scroll sideways there.
	Stack bool
	// Heat shades the cells of the numeric columns by their number, darker for more, the largest of all being Heat; 0 shades none. The
	// numbers stand in the cells, so nothing is told by the shade alone.
	Heat int
	// RowLinks, if not nil, has an address for every row that its first cell leads to; "" for none.
	RowLinks []string
}

// Column heads a table column.
type Column struct {
	Name string
	// Unit is written after the name: "g", "fruit", "°C".
	Unit string
	// Numeric columns are aligned on their right with digits of one width.
	Numeric bool
}
