package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"time"
)

// questions is whole runs of gravid, its start included, as a keeper waits for them.
// There is no rival.
func questions() []comparison {
	return []comparison{
		{
			name: "ask", about: "does a fall in pressure matter? 30 keepers, 100 readings for every attempt; rows are attempts",
			sizes: []int{1e2, 1e3, 1e4}, lay: layQuestion(30, 100), whole: askTurn,
		},
		{
			name: "season", about: "the workbook and page of a season of the demo club", fixed: true,
			sizes: []int{1}, lay: layDemo, whole: seasonTurn(demoSeason),
		},
		{
			name: "season-club", about: "the workbook and page of a season, 200 attempts a keeper and 250 readings for every attempt; rows are attempts",
			sizes: []int{2e4}, lay: layLargeClub, whole: seasonTurn(lastSeason),
		},
		{
			name: "help", about: "the list of verbs, for what it takes to start", fixed: true,
			sizes: []int{1}, lay: layNothing, whole: helpTurn,
		},
	}
}

// years is how long the records of a question go on.
const years = 5

// layQuestion lays the logs of keepers with some attempts each and of a barometer with
// so many readings for every attempt, and has gravid read them.
func layQuestion(keepers, readings int) func(folder, int, *rand.Rand) error {
	return func(f folder, attempts int, rng *rand.Rand) error {
		if err := layClub(f); err != nil {
			return err
		}
		every := (years * 365 * 24 * time.Hour / time.Duration(attempts*readings)).Round(time.Second)
		pressure, err := writeBarometer(f, attempts*readings, every, rng)
		if err != nil {
			return err
		}
		falls := func(day int) bool {
			at := func(day int) float64 {
				return pressure[min(int(time.Duration(day)*24*time.Hour/every), len(pressure)-1)]
			}
			return day > 0 && at(day)-at(day-1) <= -5
		}
		for k := range keepers {
			n := attempts*(k+1)/keepers - attempts*k/keepers
			if err := writeKeeper(f, k, shapes[0], simulateAttempts(rng, n, -2.6+0.7*rng.NormFloat64(), falls)); err != nil {
				return err
			}
		}
		_, _, err = f.gravid("ingest")
		return err
	}
}

// layLargeClub lays the logs of keepers with 200 attempts each, at least two of them.
func layLargeClub(f folder, attempts int, rng *rand.Rand) error {
	return layQuestion(max(2, attempts/200), 250)(f, attempts, rng)
}

// simulateAttempts makes attempts of 9 to 14 days, one after the other in a tank. skill is the log-odds of spawning on a day, to which a day
// after a fall adds 0.5.
func simulateAttempts(rng *rand.Rand, n int, skill float64, falls func(day int) bool) []attempt {
	out := make([]attempt, n)
	for i := range out {
		began, length := 2+i*17%(years*365-30)+rng.IntN(3), 9+rng.IntN(6)
		a := attempt{
			tank: fmt.Sprintf("T%d", 1+i*17/(years*365-30)), began: beginning.AddDate(0, 0, began), ended: beginning.AddDate(0, 0, began+length-1),
			temperature: 23 + math.Mod(rng.NormFloat64(), 3), liveFood: rng.IntN(2) == 1, eggs: 20 + rng.IntN(200),
		}
		for d := began + 1; d < began+length; d++ {
			eta := skill
			if falls != nil && falls(d) {
				eta += 0.5
			}
			if rng.Float64() < 1/(1+math.Exp(-eta)) {
				a.spawned = beginning.AddDate(0, 0, d)
				a.ended = a.spawned
				break
			}
		}
		out[i] = a
	}
	return out
}

func askTurn(f folder) (turn, error) {
	return f.takeProgram(nil, func(printed []byte) ([]value, error) {
		var answer struct {
			Status    string `json:"status"`
			OddsRatio struct {
				Estimate float64 `json:"estimate"`
				Low      float64 `json:"low"`
				High     float64 `json:"high"`
			} `json:"odds_ratio"`
			Counts struct {
				Attempts int `json:"total_attempts"`
			} `json:"counts"`
		}
		if err := json.Unmarshal(printed, &answer); err != nil {
			return nil, fmt.Errorf("the answer cannot be read: %w", err)
		}
		r := answer.OddsRatio
		return []value{{"attempts", float64(answer.Counts.Attempts)}, {"odds-ratio", r.Estimate}, {"low", r.Low}, {"high", r.High}}, nil
	}, "ask", "--trigger", "pressure-drop", "--species", "Corydoras paleatus", "--format", "json")
}

// The last year of the demo club, and that of the logs of layQuestion.
const (
	demoSeason = "2025"
	lastSeason = "2020"
)

func layDemo(f folder, _ int, _ *rand.Rand) error {
	if err := os.MkdirAll(string(f), 0o777); err != nil {
		return err
	}
	_, _, err := f.gravid("demo", string(f))
	return err
}

// seasonTurn times a season's workbook and page.
func seasonTurn(season string) func(folder) (turn, error) {
	return func(f folder) (turn, error) {
		return f.takeProgram(nil, func([]byte) ([]value, error) {
			var out []value
			for _, kind := range []string{"xlsx", "html"} {
				info, err := os.Stat(f.path("season", season+"."+kind))
				if err != nil {
					return nil, err
				}
				out = append(out, value{kind + "-bytes", float64(info.Size())})
			}
			return out, nil
		}, "season", season)
	}
}

func layNothing(f folder, _ int, _ *rand.Rand) error { return os.MkdirAll(string(f), 0o777) }

func helpTurn(f folder) (turn, error) {
	return f.takeProgram(nil, func(printed []byte) ([]value, error) {
		return []value{{"bytes", float64(len(printed))}}, nil
	}, "help")
}
