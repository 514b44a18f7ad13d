package ingest

import (
	"strings"

	"gravid/ingest/cell/word"
	"gravid/ingest/source"
)

// NoLogMarks are the words with which a sheet says that it is no log, by language. A
// sheet of a workbook whose first cell begins with them is passed over in silence: a
// reading guide, worked examples, lists.
var NoLogMarks = map[string]string{"en": "Not a log", "de": "Kein Protokoll", "fr": "Pas un journal", "es": "No es un registro"}

// noLog reports whether a sheet says of itself that it is no log.
func noLog(g *source.Grid) bool {
	if g.Text {
		return false
	}
	for r := range g.Each {
		if len(r.Cells) == 0 || r.Cells[0].Kind != source.Text {
			return false
		}
		first := word.Fold(r.Cells[0].Text) + " "
		for _, mark := range NoLogMarks {
			if strings.HasPrefix(first, word.Fold(mark)+" ") {
				return true
			}
		}
		return false
	}
	return false
}
