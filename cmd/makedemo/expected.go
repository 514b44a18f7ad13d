package main

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
)

// The columns of the expected tables, in the order of the tables of package club,
// behind file, sheet and row.
var (
	attemptFields = []string{
		fieldKeeper, fieldSystem, fieldSpecies, fieldAsWritten, fieldBegan, fieldEnded, fieldSpawned, fieldSpawnedAt,
		fieldMales, fieldFemales, fieldUnsexed, fieldTemperature, fieldPH, fieldConductivity, fieldGH, fieldKH, fieldNitrate,
		fieldLight, fieldConditioning, fieldLiveFood, fieldMicrofauna, fieldLeafLitter, fieldWaterChange, fieldRefill, fieldLevel,
		fieldFlow, fieldRearranged, fieldDither, fieldTankMates, fieldPressure, fieldNotes,
	}
	clutchFields = []string{
		fieldKeeper, fieldSystem, fieldSpecies, fieldLaidTo, fieldEggs, fieldEggsLow, fieldEggsHigh, fieldEggsMethod,
		fieldFertile, fieldHatched, fieldFreeSwimming, fieldHatchTo, fieldSwimTo, fieldLostAt, fieldLoss, fieldLastSeen,
		fieldFemales, fieldTemperature, fieldHatchAid,
	}
)

var placeFields = []string{"source_file", "source_sheet", "source_row"}

// null stands in the expected tables where a keeper recorded nothing.
const null = "null"

// expectedTable writes what a careful reader makes of the rows of the logs.
func expectedTable(rows []row, fields []string) ([]byte, error) {
	lines := [][]string{slices.Concat(placeFields, fields)}
	for _, r := range rows {
		line := []string{r.file, r.sheet, strconv.Itoa(r.number)}
		for _, f := range fields {
			v, recorded := r.values[f]
			if !recorded {
				v = null
			}
			line = append(line, v)
		}
		lines = append(lines, line)
	}
	return commaSeparated(lines)
}

func commaSeparated(lines [][]string) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	err := w.WriteAll(lines)
	return b.Bytes(), err
}

// expectedHeadings lists what the headings of the logs mean.
func expectedHeadings(logs []*writtenLog) ([]byte, error) {
	lines := [][]string{{"file", "heading", "columns"}}
	for _, l := range logs {
		for _, c := range l.book.columns {
			lines = append(lines, []string{l.book.path, c.head, strings.Join(l.told[c.head], " ")})
		}
	}
	return commaSeparated(lines)
}

const expectedReadme = `# What a careful reader makes of the demo club's logs

Made by cmd/makedemo together with the logs; not part of the program.

- attempts.csv, clutches.csv: one line for each row of a log that holds a record,
  by file (below club/logs), sheet and row as the program that made the file shows
  it. Every attempt that spawned has a line in clutches.csv.
- headings.csv: the columns of the tables that each heading of a log fills; none
  for running numbers.

Columns are those of the tables, in their units. ` + "`null`" + ` stands where nothing was
recorded, or where what stands there cannot be (the blemishes in truth.json).

- Values are those *written*, in canonical units: where a keeper wrote 76.1 °F,
  temperature_c is (76.1 - 32) * 5 / 9.
- Dates are calendar and clock of the club's zone (Europe/Berlin), as precise as
  they were written: 2024-03-04 or 2024-03-04T19:10.
- laid_to, hatch_to and swim_to are the dates written: the first look with the
  event. The _from columns follow from them by the rhythm of checks.
- ended is null where the keeper left it empty, also for attempts that spawned.
- spawned is null for attempts that still ran when the logs were handed in.
- eggs_method is "counted" for a plain number, "estimated" for a number behind ~,
  ca., c. or about and for a range, else what the log says. A range has its middle
  in eggs.
- refill_delta_c is worked out where a log states the temperature of the refill:
  refill less tank, null where either is.
- notes are the keeper's remarks alone.
`
