package template

import (
	_ "embed"
	"encoding/csv"
	"strings"
	"sync"

	"gravid/ingest/heading"
	"gravid/ingest/unit"
)

// Languages are those in which a template can be written.
var languages = []string{"en", "de", "fr", "es"}

// A kind says what a column holds, and so how it is checked.
type kind string

const (
	words    kind = "text"
	species  kind = "species"
	date     kind = "date"
	after    kind = "after" // a date that is not before another of its row
	yesNo    kind = "yesno"
	count    kind = "count"
	number   kind = "number"
	lossList kind = "loss"
	method   kind = "method"
)

// A column is one column of the log.
type column struct {
	field   heading.Field
	kind    kind
	after   heading.Field // kind after: the date before
	limits  unit.Limits   // kinds count and number
	group   string
	width   float64
	heading string
	help    string
}

// An entry is a word of a drop-down list: what it stands for, and how it is written.
type entry struct{ value, written string }

// content is all the text of a template in one language.
type content struct {
	language string
	columns  []column
	text     map[string]string
	guide    []string
	lists    map[kind][]entry
	examples []map[heading.Field]string // as written in this language
}

//go:embed columns.csv
var columnsCSV string

//go:embed words.csv
var wordsCSV string

//go:embed texts.csv
var textsCSV string

//go:embed guide.csv
var guideCSV string

//go:embed examples.csv
var examplesCSV string

// A sheet of the embedded lists, each row by heading.
func rows(name, text string) (out []map[string]string) {
	records, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic("template: " + name + ": " + err.Error()) // a fault of the program
	}
	for _, r := range records[1:] {
		row := map[string]string{}
		for i, head := range records[0] {
			row[head] = r[i]
		}
		out = append(out, row)
	}
	return out
}

var contents = sync.OnceValue(func() map[string]*content {
	out := map[string]*content{}
	for _, l := range languages {
		out[l] = read(l)
	}
	return out
})

func read(language string) *content {
	c := &content{language: language, text: map[string]string{}, lists: map[kind][]entry{}}
	for _, r := range rows("texts.csv", textsCSV) {
		c.text[r["key"]] = r[language]
	}
	for _, r := range rows("guide.csv", guideCSV) {
		c.guide = append(c.guide, r[language])
	}
	for _, r := range rows("words.csv", wordsCSV) {
		c.lists[kind(r["list"])] = append(c.lists[kind(r["list"])], entry{r["value"], r[language]})
	}
	for _, r := range rows("columns.csv", columnsCSV) {
		x := column{field: heading.Field(r["field"]), kind: kind(r["kind"]), group: r["group"], width: wide(r["width"]), heading: r[language], help: r["help_"+language]}
		switch x.kind {
		case after:
			x.after = heading.Field(r["limits"])
		case count, number:
			l, ok := unit.LimitsOf(r["limits"])
			if !ok {
				panic("template: columns.csv: no limits are called " + r["limits"])
			}
			x.limits = l
		}
		c.columns = append(c.columns, x)
	}
	c.readExamples()
	return c
}

// readExamples puts the words of the lists into the examples.
func (c *content) readExamples() {
	kinds := map[heading.Field]kind{}
	for _, x := range c.columns {
		kinds[x.field] = x.kind
	}
	for _, n := range []string{"1", "2", "3", "4"} {
		example := map[heading.Field]string{}
		for _, r := range rows("examples.csv", examplesCSV) {
			field, value := heading.Field(r["field"]), r[n]
			if r["field"] == "notes_"+c.language {
				field = heading.Notes
			}
			if kinds[field] == "" || value == "" {
				continue
			}
			for _, e := range c.lists[kinds[field]] {
				if e.value == value {
					value = e.written
				}
			}
			example[field] = value
		}
		c.examples = append(c.examples, example)
	}
}

// at is the place of a field among the columns, from 1; 0 where it is none of them.
func (c *content) at(f heading.Field) int {
	for i, x := range c.columns {
		if x.field == f {
			return i + 1
		}
	}
	return 0
}
