package main

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"time"

	"gravid/ingest/club"
)

// reading is logs read into tables by gravid ingest, a program of its own.
//
// The rivals are asked for less: one file of two columns into memory, with times and
// numbers told apart. gravid finds the headings, units and time zone, checks every cell,
// counts that none was lost, keeps the log as it came and writes its tables to disk. Its
// time is that of the whole program; that of a rival begins once it has started.
func reading() []comparison {
	var out []comparison
	for _, r := range []struct{ name, rival, tool, pkg, script string }{
		{"pandas", "pandas read_csv", "python", "pandas", `
d = clock(lambda: pandas.read_csv(path, parse_dates=[0]))
say("rows", len(d)); say("sum", d.iloc[:, 1].sum())
say("first", d.iloc[0, 0].timestamp()); say("last", d.iloc[-1, 0].timestamp())
`},
		{"fread", "data.table fread", "", "data.table", sumInR(`data.table::fread(path, tz = "UTC")`)},
		{"readr", "readr read_csv", "", "readr", sumInR(`readr::read_csv(path, show_col_types = FALSE, progress = FALSE, lazy = FALSE)`)},
		{"duckdb", "DuckDB read_csv", "node", "@duckdb/node-api", `
  await clock(() => c.run("CREATE TABLE t AS SELECT * FROM read_csv('" + path + "')"));
  const r = await c.runAndReadAll('SELECT count(*)::DOUBLE, sum("Pressure (hPa)")::DOUBLE, epoch(min("Time")), epoch(max("Time")) FROM t');
  ["rows", "sum", "first", "last"].forEach((name, k) => say(name, r.getRows()[0][k]));
`},
	} {
		out = append(out, comparison{
			name: "read-" + r.name, about: "a barometer's log of 29 bytes a row, 10 and 100 MB (--sizes 1.4e7: 400 MB)",
			sizes: []int{350_000, 3_500_000}, lay: layBarometer, whole: ingestTurn(readingsOf),
			rival: r.rival, tool: r.tool, packages: []string{r.pkg}, script: r.script,
			tolerance: 1e-9, floor: 1,
		})
	}
	return append(out, comparison{
		name: "read-keepers", about: "small logs of 60 attempts each in three shapes; rows are keepers",
		sizes: []int{10, 100, 1000}, lay: layKeepers(60), whole: ingestTurn(attemptsOf),
	})
}

func sumInR(call string) string {
	return `
path <- file.path(args[1], "logs", "weather", "barometer.csv")
d <- clock(function() ` + call + `, once = TRUE)
say("rows", nrow(d)); say("sum", sum(d[[2]])); say("first", as.numeric(d[[1]][1])); say("last", as.numeric(d[[1]][nrow(d)]))
`
}

// layClub lays down an empty club.
func layClub(f folder) error {
	if err := os.MkdirAll(f.path("logs", "weather"), 0o777); err != nil {
		return err
	}
	return os.WriteFile(f.path("club.toml"), []byte("name = \"Bench\"\ntime_zone = \"UTC\"\ncheck_rhythm_hours = 24\n"), 0o666)
}

// beginning is the first day on record.
var beginning = time.Date(2016, 1, 1, 0, 0, 0, 0, time.UTC)

// layBarometer lays a log with a reading a minute.
func layBarometer(f folder, rows int, rng *rand.Rand) error {
	if err := layClub(f); err != nil {
		return err
	}
	_, err := writeBarometer(f, rows, time.Minute, rng)
	return err
}

// writeBarometer writes the log and returns the pressures in hPa.
func writeBarometer(f folder, rows int, every time.Duration, rng *rand.Rand) ([]float64, error) {
	level, pressure := make([]float64, rows), 1013.0
	minutes := every.Minutes()
	err := writeLog(f.path("logs", "weather", "barometer.csv"), func(w *bufio.Writer) {
		w.WriteString("Time,Pressure (hPa)\n")
		for i := range level {
			pressure += 0.0001*minutes*(1013-pressure) + 0.1*rng.NormFloat64()
			level[i] = pressure
			fmt.Fprintf(w, "%s,%.2f\n", beginning.Add(time.Duration(i)*every).Format(time.DateTime), pressure)
		}
	})
	return level, err
}

// writeLog writes a file.
func writeLog(path string, write func(w *bufio.Writer)) error {
	file, err := os.Create(path)
	if err != nil {
		return err
	}
	defer file.Close()
	w := bufio.NewWriterSize(file, 1<<20)
	write(w)
	if err := w.Flush(); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return file.Close()
}

// layKeepers lays a small log for each of so many keepers.
func layKeepers(attempts int) func(folder, int, *rand.Rand) error {
	return func(f folder, keepers int, rng *rand.Rand) error {
		if err := layClub(f); err != nil {
			return err
		}
		for k := range keepers {
			if err := writeKeeper(f, k, shapes[k%len(shapes)], simulateAttempts(rng, attempts, -2.4, nil)); err != nil {
				return err
			}
		}
		return nil
	}
}

// An attempt is a row of a keeper's log.
type attempt struct {
	tank                  string
	began, ended, spawned time.Time // spawned is zero where they did not
	temperature           float64   // in °C
	liveFood              bool
	eggs                  int
}

// A shape is a way to write a log.
type shape struct {
	extension, separator, headings, day, yes, no string
}

var shapes = []shape{
	{".csv", ",", "tank,species,set up,ended,spawned?,spawn date,temp (°C),live food,eggs", "2006-01-02", "yes", "no"},
	{".tsv", "\t", "tank\tfish\tput together\tended\tsuccess\tdate laid\ttemp (°C)\tlive food\tegg count", "2 Jan 2006", "y", "n"},
	{".csv", ";", "Becken;Art;Ansatz;Ende;abgelaicht;Laichdatum;Temperatur (°C);Lebendfutter;Eier", "02.01.2006", "ja", "nein"},
}

// writeKeeper writes the log of keeper k.
func writeKeeper(f folder, k int, s shape, attempts []attempt) error {
	return writeLog(f.path("logs", fmt.Sprintf("Keeper %04d%s", k+1, s.extension)), func(w *bufio.Writer) {
		fmt.Fprintln(w, s.headings)
		for _, a := range attempts {
			fmt.Fprintln(w, s.line(a))
		}
	})
}

func (s shape) line(a attempt) string {
	said := func(b bool) string {
		if b {
			return s.yes
		}
		return s.no
	}
	laid, eggs := "", ""
	if !a.spawned.IsZero() {
		laid, eggs = a.spawned.Format(s.day), fmt.Sprint(a.eggs)
	}
	temperature := fmt.Sprintf("%.1f", a.temperature)
	if s.separator == ";" {
		temperature = temperature[:2] + "," + temperature[3:]
	}
	line := a.tank
	for _, cell := range []string{"Corydoras paleatus", a.began.Format(s.day), a.ended.Format(s.day), said(!a.spawned.IsZero()), laid, temperature, said(a.liveFood), eggs} {
		line += s.separator + cell
	}
	return line
}

// ingestTurn times gravid ingest of the whole folder into no tables yet.
func ingestTurn(values func(*club.Club) ([]value, error)) func(folder) (turn, error) {
	return func(f folder) (turn, error) {
		fresh := func() error {
			for _, name := range []string{"tables", "sources", "set-aside"} {
				if err := os.RemoveAll(f.path(name)); err != nil {
					return err
				}
			}
			return nil
		}
		return f.takeProgram(fresh, func([]byte) ([]value, error) {
			c, err := club.Open(string(f))
			if err != nil {
				return nil, err
			}
			defer c.Close()
			return values(c)
		}, "ingest")
	}
}

// readingsOf counts and adds up the readings of a club.
func readingsOf(c *club.Club) ([]value, error) {
	var rows, sum float64
	var first, last time.Time
	err := c.EachReadings(func(readings []club.Reading) error {
		for _, r := range readings {
			if rows == 0 || r.At.V.Before(first) {
				first = r.At.V
			}
			if r.At.V.After(last) {
				last = r.At.V
			}
			rows++
			sum += r.Value.V
		}
		return nil
	})
	return []value{{"rows", rows}, {"sum", sum}, {"first", float64(first.Unix())}, {"last", float64(last.Unix())}}, err
}

// attemptsOf counts the attempts of a club, and those with spawning.
func attemptsOf(c *club.Club) ([]value, error) {
	t, err := c.Load(club.TableAttempts)
	spawned := 0.0
	for _, a := range t.Attempts {
		if a.Spawned.V {
			spawned++
		}
	}
	return []value{{"attempts", float64(len(t.Attempts))}, {"spawned", spawned}}, err
}
