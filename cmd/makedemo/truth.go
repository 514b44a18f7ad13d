package main

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

const clubName = "Lindenfurt Aquarium Circle"

// A clubTruth is what truth.json says: what was planted, and what the dice made of it.
type clubTruth struct {
	Note      string           `json:"note"`
	Club      string           `json:"club"`
	Seed      uint64           `json:"seed"`
	TimeZone  string           `json:"time_zone"`
	FirstDay  string           `json:"first_day"`
	LastDay   string           `json:"last_day"`
	Counts    counts           `json:"counts"`
	Triggers  []trigger        `json:"triggers"`
	Weather   weatherTruth     `json:"weather"`
	Species   []*species       `json:"species"`
	Realised  []realised       `json:"realised"`
	Keepers   []keeperTruth    `json:"keepers"`
	Loggers   []loggerCount    `json:"loggers"`
	Blemishes []plantedBlemish `json:"blemishes"`
}

type trigger struct {
	Code string `json:"code"`
	Per  string `json:"odds_ratio_for"`
}

type counts struct {
	Keepers  int `json:"keepers"`
	Attempts int `json:"attempts"`
	Spawned  int `json:"spawned"`
	Running  int `json:"running"`
	Clutches int `json:"clutches"`
}

type weatherTruth struct {
	Sky         string  `json:"sky"`
	FallHPa     float64 `json:"fall_hpa"`
	WindowHours float64 `json:"window_hours"`
	ShareOfDays float64 `json:"share_of_days_after_a_fall"`
	LowestHPa   float64 `json:"lowest_hpa"`
	HighestHPa  float64 `json:"highest_hpa"`
	DeepestHPa  float64 `json:"deepest_change_in_24_h_hpa"`
}

type keeperTruth struct {
	Name     string         `json:"name"`
	Town     string         `json:"town"`
	Log      string         `json:"log"`
	Skill    float64        `json:"skill_log_odds"`
	Records  string         `json:"records"`
	Check    string         `json:"daily_check_near"`
	Attempts map[string]int `json:"attempts"`
	Spawned  map[string]int `json:"spawned"`
	Running  int            `json:"running"`
	Clutches int            `json:"clutches"`
}

// realised is what the dice made of what was planted. Days at risk are those of
// keepers who write down failures too, from the day after the set-up.
type realised struct {
	Species          string  `json:"species"`
	Attempts         int     `json:"attempts"`
	Spawned          int     `json:"spawned"`
	DaysAtRisk       int     `json:"days_at_risk"`
	DaysAfterFall    int     `json:"days_at_risk_after_a_fall"`
	SpawnedAtRisk    int     `json:"spawned_on_days_at_risk"`
	SpawnedAfterFall int     `json:"spawned_on_days_after_a_fall"`
	CrudeOddsRatio   float64 `json:"crude_odds_ratio_of_a_fall"`
	MeanEggs         float64 `json:"mean_eggs"`
}

// truthOf gathers the truth of a club and its logs.
func truthOf(w *world, logs []*writtenLog, loggers []loggerCount, slips []plantedBlemish) clubTruth {
	t := clubTruth{
		Note: "An invented club: no keeper, town or record is real. Everything about triggers is made up.",
		Club: clubName, Seed: w.seed, TimeZone: zoneName,
		FirstDay: day(0).date().Format(time.DateOnly), LastDay: lastDay.date().Format(time.DateOnly),
		Species: w.species, Weather: w.weatherTruth(), Loggers: loggers,
	}
	for _, p := range w.triggers {
		t.Triggers = append(t.Triggers, trigger{p.code, p.per})
	}
	for _, s := range w.species {
		t.Realised = append(t.Realised, w.realised(s))
	}
	for _, k := range w.keepers {
		t.Keepers = append(t.Keepers, w.keeperTruth(k, logs))
	}
	t.Counts.Keepers = len(w.keepers)
	for _, k := range t.Keepers {
		t.Counts.Running += k.Running
		t.Counts.Clutches += k.Clutches
	}
	t.Counts.Attempts, t.Counts.Spawned = len(w.attempts), t.Counts.Clutches
	for _, l := range logs {
		t.Blemishes = append(t.Blemishes, l.blemish...)
	}
	t.Blemishes = append(t.Blemishes, slips...)
	return t
}

func (w *world) weatherTruth() weatherTruth {
	t := weatherTruth{Sky: "one for all keepers", FallHPa: fallLimit, WindowHours: 24}
	falls := 0
	for d := day(1); d <= lastDay; d++ {
		opens := d.midnight(w.zone)
		falls += int(oneIf(w.weather.drop(opens)))
		t.DeepestHPa = min(t.DeepestHPa, w.weather.change(opens))
	}
	t.ShareOfDays = rounded(float64(falls)/float64(lastDay), 3)
	t.LowestHPa, t.HighestHPa = slices.Min(w.weather.hPa), slices.Max(w.weather.hPa)
	return t
}

func (w *world) realised(s *species) realised {
	r := realised{Species: s.Name}
	eggs := 0
	for _, a := range w.attempts {
		if a.sp != s {
			continue
		}
		r.Attempts++
		if a.spawn {
			r.Spawned++
			eggs += a.clutch.eggs
		}
		if a.keeper.SpawnsOnly {
			continue
		}
		first, last := a.atRisk()
		for d := first; d <= last; d++ {
			fell, spawned := oneIf(w.weather.drop(d.midnight(w.zone))), oneIf(a.spawn && d == last)
			r.DaysAtRisk++
			r.DaysAfterFall += int(fell)
			r.SpawnedAtRisk += int(spawned)
			r.SpawnedAfterFall += int(fell * spawned)
		}
	}
	with, without := odds(r.SpawnedAfterFall, r.DaysAfterFall), odds(r.SpawnedAtRisk-r.SpawnedAfterFall, r.DaysAtRisk-r.DaysAfterFall)
	r.CrudeOddsRatio = rounded(with/without, 2)
	r.MeanEggs = rounded(float64(eggs)/float64(r.Spawned), 1)
	return r
}

func odds(n, of int) float64 { return float64(n) / float64(of-n) }

func (w *world) keeperTruth(k *keeper, logs []*writtenLog) keeperTruth {
	t := keeperTruth{
		Name: k.Name, Town: k.Town, Skill: k.Skill, Records: "attempts", Check: fmt.Sprintf("%02d:%02d", k.Check/60, k.Check%60),
		Attempts: map[string]int{}, Spawned: map[string]int{},
	}
	if k.SpawnsOnly {
		t.Records = "spawnings only"
	}
	for _, l := range logs {
		if slices.Contains(l.book.keepers, k.Name) {
			t.Log = l.book.path
		}
	}
	for _, a := range w.attempts {
		if a.keeper != k {
			continue
		}
		t.Attempts[a.sp.Name]++
		t.Running += int(oneIf(a.runs))
		if a.spawn {
			t.Spawned[a.sp.Name]++
			t.Clutches++
		}
	}
	return t
}

func (t clubTruth) json() ([]byte, error) {
	out, err := json.MarshalIndent(t, "", "  ")
	return append(out, '\n'), err
}

// markdown tells the truth to people.
func (t clubTruth) markdown() []byte {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("# The truth behind the demo club\n")
	line("Made by `go run ./cmd/makedemo`; truth.json holds the same for programs. The %s, its keepers and their towns are invented, and so are all records. Times of development and clutch sizes are near published figures; everything about triggers is made up.\n", t.Club)
	line("- %d keepers, %d attempts, %d of them spawned, %d still running when the logs were handed in on %s; %d clutches", t.Counts.Keepers, t.Counts.Attempts, t.Counts.Spawned, t.Counts.Running, t.LastDay, t.Counts.Clutches)
	line("- seed %d, **chosen so that the demo shows both answers**: a clear link of pressure drops with spawning in *%s*, and little or none in *%s*. %s", t.Seed, paleatus, rerio, seedNote)
	line("- weather: one sky for all; a fall of %g hPa or more over the %g hours before local midnight came before %.0f %% of the days\n", t.Weather.FallHPa, t.Weather.WindowHours, 100*t.Weather.ShareOfDays)
	t.speciesTables(line)
	t.keeperTable(line)
	line("\n## Blemishes planted in the logs\n")
	line("| kind | file | sheet | row | column | written | meant | |\n|---|---|---|---|---|---|---|---|")
	for _, s := range t.Blemishes {
		line("| %s | %s | %s | %d | %s | %s | %s | %s |", s.Kind, s.File, s.Sheet, s.Row, s.Column, s.Written, s.Meant, s.Note)
	}
	line("\nLoggers:\n")
	for _, l := range t.Loggers {
		line("- %s: %d rows, %d readings, %d rows without one, %d sensor faults", l.File, l.Rows, l.Readings, l.Missing, l.Faults)
		for _, g := range l.Gaps {
			line("  - nothing from %s for %d hours: %s", g.From.Format("2006-01-02 15:04 UTC"), g.Hours, g.Why)
		}
	}
	line("\nCells are left empty here and there, or hold n/a, ?, k.A. or a dash: see expected/.")
	return []byte(b.String())
}

func (t clubTruth) speciesTables(line func(string, ...any)) {
	line("## Chances to spawn\n")
	line("On a day at risk (from the day after the set-up) the log-odds are those below plus the keeper's skill, a season of one wave a year, temperature above the usual, and the logarithm of the odds ratio of each trigger present.\n")
	codes := make([]string, len(t.Triggers))
	for i, c := range t.Triggers {
		codes[i] = c.Code
	}
	line("| species | base | season | per °C | %s |", strings.Join(codes, " | "))
	line("|---|---|---|---|%s", strings.Repeat("---|", len(codes)))
	for _, s := range t.Species {
		var ratios []string
		for _, c := range codes {
			ratio, planted := s.OddsRatio[c]
			if !planted {
				ratio = 1
			}
			ratios = append(ratios, fmt.Sprintf("%g", ratio))
		}
		line("| %s | %g | ±%g, height on day %g | %g (usual %g) | %s |", s.Name, s.BaseLogOdds, s.Season.Amplitude, s.Season.PeakDay, s.Temperature.LogOddsPerC, s.Temperature.Usual, strings.Join(ratios, " | "))
	}
	line("\nWhat odds ratios are for:\n")
	for _, c := range t.Triggers {
		line("- %s: %s", c.Code, c.Per)
	}
	line("\n## What the dice made of it\n")
	line("Days at risk are those of keepers who write down failures too.\n")
	line("| species | attempts | spawned | days at risk | after a fall | spawned after a fall | crude odds ratio of a fall |\n|---|---|---|---|---|---|---|")
	for _, r := range t.Realised {
		line("| %s | %d | %d | %d | %d | %d of %d | %.2f |", r.Species, r.Attempts, r.Spawned, r.DaysAtRisk, r.DaysAfterFall, r.SpawnedAfterFall, r.SpawnedAtRisk, r.CrudeOddsRatio)
	}
	line("\n## Clutches\n")
	line("Times are lognormal. Losses are shares of clutches: before the hatch, and of those hatched before the fry swim.\n")
	line("| species | laid to hatch at 25 °C | hatch to swimming at 25 °C | eggs (mean, k) | fertile, hatched, swimming | lost before the hatch | lost before swimming |\n|---|---|---|---|---|---|---|")
	for _, s := range t.Species {
		line("| %s | %s | %s | %g, %g | %g, %g, %g | %s | %s |", s.Name, s.Hatch, s.Swim, s.Eggs.Mean, s.Eggs.K, s.Eggs.Fertile, s.Eggs.Hatched, s.Eggs.Swimming, lossText(s.Lost.BeforeHatch), lossText(s.Lost.BeforeSwim))
	}
}

// String says the time in words.
func (t timing) String() string {
	return fmt.Sprintf("%g h, %+.0f %% a °C, log-sd %g", t.MedianHours, 100*(math.Exp(t.LogPerC)-1), t.LogSD)
}

func lossText(list []loss) string {
	var parts []string
	for _, l := range list {
		parts = append(parts, fmt.Sprintf("%s %g", l.Cause, l.Share))
	}
	return strings.Join(parts, ", ")
}

func (t clubTruth) keeperTable(line func(string, ...any)) {
	line("\n## Keepers\n")
	line("| keeper | town | log | writes down | looks at about | skill | attempts | clutches |\n|---|---|---|---|---|---|---|---|")
	for _, k := range t.Keepers {
		n := 0
		for _, s := range t.Species {
			n += k.Attempts[s.Name]
		}
		line("| %s | %s | %s | %s | %s | %+.2f | %d | %d |", k.Name, k.Town, k.Log, k.Records, k.Check, k.Skill, n, k.Clutches)
	}
}
