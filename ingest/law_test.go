package ingest

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// Scraps of logs: what cells, headings and lines are made of at random.
var (
	scrapHeads = strings.Split("Tank|Species|Set up|Spawned|Spawn date|Eggs|Temp (°C)|Temp|pH|Hatch date|Number hatched|Group|Notes|Loss|Date|Time|Timestamp|Air pressure (hPa)|Conductivity|Water change %|Action|Amount|Entry|Becken|Art|Laichdatum|Anzahl Eier|x|%|D0|D1|D2|Total|Keeper|Live food|", "|")
	scrapCells = strings.Split("A1|Danio rerio|Corydoras paleatus|neon|Fluffius|2024-03-04|03/04/2024|13.2.2024|2024-02-31|24.5|24,5|1.200|1,200|~80|200+|10-20|yes|no|maybe|x|-|?|n/a|0|-3|1e999|NaN|Inf|245|85.0|-127|14:30|24:00|7.30pm|2024-10-27 02:30|1013.2|2.3|trio|1m2f|E|H|FS|Total|Summe|\"|\"\"|=1+1|@x|fungus|eggs on glass|set up|30% water change|٣|１２|𝟚|\u202e|", "|")
	// scrapLogs are headings that belong together, each with cells that fit it.
	scrapLogs = [][][]string{
		{{"Tank", "A1", "B2"}, {"Species", "Danio rerio", "Corydoras paleatus", "zebrafish", "neon"}, {"Set up", "2024-01-05", "2024-02-29", "2023-02-29"}, {"Spawned", "yes", "no", "maybe"}, {"Spawn date", "2024-03-01", "2024-01-06", ""}, {"Eggs", "80", "~90", "lots", "120-140"}, {"Temp (°C)", "24.5", "26", "245"}, {"Notes", "quiet", ""}},
		{{"Becken", "1", "2"}, {"Art", "Zebrabärbling", "Fluffius"}, {"angesetzt am", "05.01.2024", "31.04.2024"}, {"Laichdatum", "13.02.2024", ""}, {"Anzahl Eier", "1.200", "80", "viele"}, {"Temperatur", "24,5", "25,1"}},
		{{"Timestamp", "2024-03-04 10:00", "2024-03-04 11:00", "2024-10-27 02:30", "x"}, {"Air pressure (hPa)", "1013.2", "998", "0", "-999"}, {"Room temp (°C)", "20", "21.5", "ERR"}},
		{{"Date", "2024-03-04", "2024-03-05", "soon"}, {"Tank", "A1", "B2"}, {"Entry", "set up 2.3 Danio rerio", "eggs on glass, about 80", "hatched", "30% water change", "quiet"}},
	}
	scrapMarks = []string{",", ";", "\t", "|"}
	scrapEnds  = []string{"\n", "\r\n", "\r"}
)

// scrapLog makes a text at random. lines is how many rows a reader must find; 0
// where quotation marks or raw bytes leave that open.
func scrapLog(rng *rand.Rand) (doc string, lines int) {
	pick := func(list []string) string { return list[rng.IntN(len(list))] }
	mark, end := pick(scrapMarks), pick(scrapEnds)
	var b strings.Builder
	lines = 1 + rng.IntN(40)
	width := 1 + rng.IntN(9)
	var log [][]string // nil for headings and cells without sense
	if rng.IntN(4) > 0 {
		log = scrapLogs[rng.IntN(len(scrapLogs))]
		width = len(log)
	}
	open := false
	for i := range lines {
		n := width
		if i > 0 && rng.IntN(8) == 0 {
			n = rng.IntN(width + 3)
		}
		var cells []string
		for j := range n {
			from := scrapCells
			switch fits := log != nil && j < len(log); {
			case i%17 == 0 && fits:
				from = log[j][:1]
			case i%17 == 0 && rng.IntN(6) > 0:
				from = scrapHeads
			case fits && rng.IntN(5) > 0:
				from = log[j][1:]
			}
			c := pick(from)
			if rng.IntN(50) == 0 {
				c = string([]byte{byte(rng.IntN(256)), byte(32 + rng.IntN(224))})
				open = true
			}
			open = open || strings.Contains(c, `"`)
			cells = append(cells, c)
		}
		b.WriteString(strings.Join(cells, mark) + end)
	}
	if open {
		lines = 0
	}
	return b.String(), lines
}

// TestLedgerHoldsForAnyText reads texts made at random. Run fails where a ledger
// does not balance; beside that, rows that are in a table are rows that were
// used, and every row set aside is named.
func TestLedgerHoldsForAnyText(t *testing.T) {
	used, aside := int64(0), int64(0)
	for seed := range uint64(120) {
		rng := rand.New(rand.NewPCG(seed, 3))
		files := map[string]int{}
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, club.ConfigFile), []byte("name = \"scraps\"\ntime_zone = \"Europe/Berlin\"\n"), 0o600))
		require.NoError(t, os.MkdirAll(filepath.Join(dir, LogsDir, "k"), 0o700))
		for i := range 1 + rng.IntN(3) {
			doc, lines := scrapLog(rng)
			name := fmt.Sprintf("k/%d.csv", i)
			files[name] = lines
			require.NoError(t, os.WriteFile(filepath.Join(dir, LogsDir, filepath.FromSlash(name)), []byte(doc), 0o600))
		}
		c, err := club.Open(dir)
		require.NoError(t, err)
		report, err := Run(c, nil, corpusToday)
		require.NoError(t, err, "seed %d", seed)
		checkSources(t, seed, allTables(t, report), files)
		require.NoError(t, c.Close())
		for _, s := range report.Tables.Sources {
			used, aside = used+s.Used, aside+s.SetAside
		}
	}
	require.Greater(t, used, int64(200), "too few of the texts are logs for the test to say anything")
	require.Greater(t, aside, int64(200), "too few rows are set aside for the test to say anything")
}

// TestLedgerHoldsForSpoiltLogs reads the logs of the corpus with bytes changed,
// taken out and put in, whatever kind of file they are.
func TestLedgerHoldsForSpoiltLogs(t *testing.T) {
	for i, name := range corpusCases(t) {
		c := corpusClub(t, name)
		rng := rand.New(rand.NewPCG(uint64(i), 7))
		files := map[string]int{}
		logs := os.DirFS(filepath.Join(c.Dir, LogsDir))
		require.NoError(t, fs.WalkDir(logs, ".", func(path string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() || strings.HasSuffix(path, ".toml") {
				return err
			}
			doc, err := fs.ReadFile(logs, path)
			if err != nil {
				return err
			}
			files[path] = 0 // how many rows there are now, nobody knows
			return os.WriteFile(filepath.Join(c.Dir, LogsDir, filepath.FromSlash(path)), spoil(rng, doc), 0o600)
		}))
		require.NotEmpty(t, files, name)
		report, err := Run(c, nil, corpusToday)
		require.NoError(t, err, name)
		checkSources(t, uint64(i), allTables(t, report), files)
	}
}

// spoil changes up to five places of a file.
func spoil(rng *rand.Rand, doc []byte) []byte {
	doc = slices.Clone(doc)
	for range 1 + rng.IntN(5) {
		at := rng.IntN(len(doc))
		end := min(len(doc), at+1+rng.IntN(40))
		switch rng.IntN(4) {
		case 0:
			doc[at] ^= 1 << rng.IntN(8)
		case 1:
			doc = slices.Delete(doc, at, end)
		case 2:
			doc = slices.Insert(doc, at, doc[at:end]...)
		default:
			doc = slices.Insert(doc, at, []byte(scrapCells[rng.IntN(len(scrapCells))])...)
		}
		if len(doc) == 0 {
			return doc
		}
	}
	return doc
}

func checkSources(t *testing.T, seed uint64, tables club.Tables, files map[string]int) {
	t.Helper()
	type sheet struct{ file, sheet string }
	inTables := map[sheet]map[int64]bool{}
	put := func(s club.Source) {
		at := sheet{s.File, s.Sheet}
		if inTables[at] == nil {
			inTables[at] = map[int64]bool{}
		}
		inTables[at][s.Row] = true
	}
	for _, x := range tables.Attempts {
		put(x.Source)
	}
	for _, x := range tables.Clutches {
		put(x.Source)
	}
	for _, x := range tables.Readings {
		put(x.Source)
	}
	for _, x := range tables.Actions {
		put(x.Source)
	}
	named := map[sheet]map[int]bool{}
	for _, p := range tables.Problems {
		at := sheet{p.Place.File, p.Place.Sheet}
		if named[at] == nil {
			named[at] = map[int]bool{}
		}
		if p.Severity == problem.Error && p.Place.Row > 0 {
			named[at][p.Place.Row] = true
		}
	}
	// Tables below each other share the rows of a sheet; tables side by side each
	// count them all, and the rows of a turned table are columns of the sheet.
	sums := map[sheet]club.SourceSheet{}
	odd := map[sheet]bool{}
	for _, s := range tables.Sources {
		at := sheet{s.File, s.Sheet}
		require.Equal(t, s.Rows, s.Used+s.SetAside+s.Skipped, "seed %d, %s", seed, s.File)
		sum := sums[at]
		sum.Rows, sum.Used, sum.SetAside = sum.Rows+s.Rows, sum.Used+s.Used, sum.SetAside+s.SetAside
		if sum.Layout = s.Layout; strings.Contains(s.Layout, "turned") || strings.Contains(s.Layout, "from column") {
			odd[at] = true
		}
		sums[at] = sum
	}
	for at, s := range sums {
		require.LessOrEqual(t, int64(len(inTables[at])), s.Used, "seed %d, %s: more rows in the tables than were used", seed, at.file)
		if odd[at] {
			continue
		}
		require.LessOrEqual(t, s.SetAside, int64(len(named[at])), "seed %d, %s: a row was set aside without an error", seed, at.file)
		if want := files[at.file]; want > 0 && s.Layout != "" && !strings.HasPrefix(s.Layout, "duplicate") {
			require.Equal(t, int64(want), s.Rows, "seed %d, %s: rows read", seed, at.file)
		}
	}
}
