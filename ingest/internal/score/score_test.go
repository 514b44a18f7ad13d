package score

import (
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// wanted is a log of three rows: 2 is plain, in 3 the temperature is doubtful, 4
// is doubtful as a whole.
func wanted(t *testing.T) Expected {
	t.Helper()
	text := func(s string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(s)} }
	e, err := Load(fstest.MapFS{
		"attempts.csv": text("source_file,source_sheet,source_row,keeper,system,began,spawned,temperature_c,notes\n" +
			"k/a.csv,,2,k,A1,2024-07-05,true,24.5,storm\nk/a.csv,,3,k,A1,2024-07-06T19:30,*,null,null\n"),
		"clutches.csv": text("source_file,source_sheet,source_row,keeper,system,eggs,temperature_c,attempt\nk/a.csv,,2,k,A1,80,24.5,k/a.csv||2\n"),
		"readings.csv": text("source_file,source_sheet,source_row,at,quantity,value\nk/l.csv,,5,2024-07-05T12:00,ph,7\nk/l.csv,,5,2024-07-05T12:00,temperature_c,24\n"),
		"actions.csv":  text("source_file,source_sheet,source_row,at,action\n"),
		"problems.csv": text("file,sheet,row,column,codes,absent,fields\nk/a.csv,,3,D,implausible|unusual,yes,attempts.temperature_c\nk/a.csv,,4,,species-unknown,yes,\n"),
		"columns.csv":  text("file,sheet,header_row,column,heading,fields\nk/a.csv,,1,B,Set up,attempts.began\nk/a.csv,,1,D,Temp,attempts.temperature_c clutches.temperature_c\nk/a.csv,,1,C,Spawned,attempts.spawned\nk/a.csv,,1,E,Eggs,clutches.eggs\n"),
	})
	require.NoError(t, err)
	return e
}

func at(t *testing.T, s string) club.When {
	t.Helper()
	w, err := time.Parse(time.RFC3339, s)
	require.NoError(t, err)
	return club.Some(w)
}

// right are tables without a fault.
func right(t *testing.T) club.Tables {
	t.Helper()
	a := func(row int64) club.Source { return club.Source{File: "k/a.csv", Row: row} }
	l := club.Source{File: "k/l.csv", Row: 5}
	return club.Tables{
		Attempts: []club.Attempt{
			{ID: "1", Keeper: "k", System: "A1", Began: at(t, "2024-07-04T22:00:00Z"), Spawned: club.Some(true), TemperatureC: club.Some(24.5), Notes: "night;  storm", Source: a(2)},
			{ID: "2", Keeper: "k", System: "A1", Began: at(t, "2024-07-06T17:30:00Z"), Spawned: club.Some(false), Notes: "more", Source: a(3)},
		},
		Clutches: []club.Clutch{{ID: "c", AttemptID: "1", Keeper: "k", System: "A1", Eggs: club.Some(int64(80)), TemperatureC: club.Some(24.5), Source: a(2)}},
		Readings: []club.Reading{{At: at(t, "2024-07-05T10:00:00Z"), Quantity: "temperature_c", Value: club.Some(24.0), Source: l}, {At: at(t, "2024-07-05T10:00:00Z"), Quantity: "ph", Value: club.Some(7.0), Source: l}},
		Problems: []problem.Problem{
			{Severity: problem.Error, Code: problem.Implausible, Place: problem.Place{File: "k/a.csv", Row: 3, Column: "D"}},
			{Severity: problem.Error, Code: problem.SpeciesUnknown, Place: problem.Place{File: "k/a.csv", Row: 4}},
		},
	}
}

func compare(t *testing.T, tables club.Tables) Score {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	s, err := Compare(wanted(t), tables, nil, zone)
	require.NoError(t, err)
	return s
}

func TestRightTables(t *testing.T) {
	s := compare(t, right(t))
	require.Empty(t, s.Silent)
	require.Empty(t, s.Unsaid)
	require.Empty(t, s.Missed)
	require.Empty(t, s.Taken)
	// Row 2: system, began, spawned, temperature, notes; row 3: system, began; eggs and
	// attempt of the clutch; three of each reading.
	require.Equal(t, 15, s.Readable)
	require.Equal(t, 15, s.Right)
	require.Equal(t, 2, s.Doubtful)
	require.Equal(t, 1.0, s.SetAsideShare())
}

func TestWrongValues(t *testing.T) {
	for name, c := range map[string]struct {
		spoil                          func(*club.Tables)
		silent, flagged, unsaid, taken int
	}{
		"another value": {spoil: func(x *club.Tables) { x.Attempts[0].TemperatureC = club.Some(2.45) }, silent: 1},
		"another value, with a warning at the cell": {spoil: func(x *club.Tables) {
			x.Attempts[0].TemperatureC = club.Some(2.45)
			x.Problems = append(x.Problems, problem.Problem{Severity: problem.Warning, Place: problem.Place{File: "k/a.csv", Row: 2, Column: "D"}})
		}, flagged: 1},
		"another value, with a warning at the column": {spoil: func(x *club.Tables) {
			x.Attempts[0].TemperatureC = club.Some(2.45)
			x.Problems = append(x.Problems, problem.Problem{Severity: problem.Error, Place: problem.Place{File: "k/a.csv", Column: "D"}})
		}, flagged: 1},
		"another value, with a note only": {spoil: func(x *club.Tables) {
			x.Attempts[0].TemperatureC = club.Some(2.45)
			x.Problems = append(x.Problems, problem.Problem{Severity: problem.Note, Place: problem.Place{File: "k/a.csv", Row: 2, Column: "D"}})
		}, silent: 1},
		"another value, with a warning at another cell": {spoil: func(x *club.Tables) {
			x.Attempts[0].TemperatureC = club.Some(2.45)
			x.Problems = append(x.Problems, problem.Problem{Severity: problem.Warning, Place: problem.Place{File: "k/a.csv", Row: 2, Column: "E"}})
		}, silent: 1},
		"another day":                        {spoil: func(x *club.Tables) { x.Attempts[0].Began = at(t, "2024-07-04T21:59:00Z") }, silent: 1},
		"another minute":                     {spoil: func(x *club.Tables) { x.Attempts[1].Began = at(t, "2024-07-06T17:31:00Z") }, silent: 1},
		"a value left out":                   {spoil: func(x *club.Tables) { x.Attempts[0].TemperatureC = club.Number{} }, unsaid: 1},
		"a remark left out":                  {spoil: func(x *club.Tables) { x.Attempts[0].Notes = "" }, unsaid: 1},
		"a doubtful value taken":             {spoil: func(x *club.Tables) { x.Attempts[1].TemperatureC = club.Some(245.0); x.Problems = x.Problems[1:] }, silent: 1, taken: 1},
		"a doubtful value taken with a word": {spoil: func(x *club.Tables) { x.Attempts[1].TemperatureC = club.Some(245.0) }, flagged: 1, taken: 1},
		"another code":                       {spoil: func(x *club.Tables) { x.Problems[0].Code = problem.CellError }, taken: 1},
		"a row that is none": {spoil: func(x *club.Tables) {
			x.Attempts = append(x.Attempts, club.Attempt{Source: club.Source{File: "k/a.csv", Row: 9}})
		}, silent: 1},
		"a doubtful row taken": {spoil: func(x *club.Tables) {
			x.Attempts = append(x.Attempts, club.Attempt{Source: club.Source{File: "k/a.csv", Row: 4}})
		}, flagged: 1, taken: 1},
		"a row left out":      {spoil: func(x *club.Tables) { x.Attempts = x.Attempts[1:] }, unsaid: 6}, /* and the link of its clutch */
		"a clutch of another": {spoil: func(x *club.Tables) { x.Clutches[0].AttemptID = "2" }, silent: 1},
		"a reading twice":     {spoil: func(x *club.Tables) { x.Readings = append(x.Readings, x.Readings[0]) }, silent: 1},
	} {
		t.Run(name, func(t *testing.T) {
			tables := right(t)
			c.spoil(&tables)
			s := compare(t, tables)
			require.Len(t, s.Silent, c.silent, "silent: %v", s.Silent)
			require.Len(t, s.Flagged, c.flagged, "flagged: %v", s.Flagged)
			require.Len(t, s.Taken, c.taken, "taken: %v", s.Taken)
			require.Len(t, s.Unsaid, c.unsaid, "unsaid: %v", s.Unsaid)
		})
	}
}

func TestLoadRefuses(t *testing.T) {
	_, err := Load(fstest.MapFS{})
	require.Error(t, err)
}
