// Package reference holds what others have published of a species: times of
// development and numbers of eggs, to be set beside a club's own figures. It also knows
// of which fish such times say nothing.
//
// It computes nothing, and a club's records are never corrected by it.
package reference

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
)

//go:embed published.csv
var list string

// What a range is about.
const (
	LayToHatch          = "lay-hatch"
	HatchToFreeSwimming = "hatch-free-swimming"
	LayToFreeSwimming   = "lay-free-swimming"
	EggsOfASpawn        = "eggs"
	unknownTemperature  = ""
)

// A Range is what one source says of a species.
type Range struct {
	Species     string  `json:"species"`
	What        string  `json:"what"` // LayToHatch, ..., EggsOfASpawn
	Temperature float64 `json:"-"`    // in °C; NaN where the source names none
	Low         float64 `json:"low"`  // in Unit
	High        float64 `json:"high"`
	Unit        string  `json:"unit"`     // days or eggs
	Strength    string  `json:"strength"` // page read, abstract read, second-hand, from memory
	Source      string  `json:"source"`
}

var published = parse(list)

func parse(list string) []Range {
	rows, err := csv.NewReader(strings.NewReader(list)).ReadAll()
	if err != nil {
		panic("reference: published.csv: " + err.Error())
	}
	number := func(s string) float64 {
		if s == unknownTemperature {
			return math.NaN()
		}
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			panic("reference: published.csv: " + err.Error())
		}
		return x
	}
	var out []Range
	for _, r := range rows[1:] {
		out = append(out, Range{Species: r[0], What: r[1], Temperature: number(r[2]), Low: number(r[3]), High: number(r[4]), Unit: r[5], Strength: r[6], Source: r[7]})
	}
	return out
}

// Published returns what is published of a species under its accepted name; none is
// usual.
func Published(species, what string) []Range {
	var out []Range
	for _, r := range published {
		if r.Species == species && r.What == what {
			out = append(out, r)
		}
	}
	return out
}

// String says the range in words: "2 to 3 days at 28.5 °C (page read: …)".
func (r Range) String() string {
	span := fmt.Sprintf("%.3g to %.3g %s", r.Low, r.High, r.Unit)
	if r.Low == r.High {
		span = fmt.Sprintf("%.3g %s", r.Low, r.Unit)
	}
	if !math.IsNaN(r.Temperature) {
		span += fmt.Sprintf(" at %.3g °C", r.Temperature)
	}
	return fmt.Sprintf("%s (%s: %s)", span, r.Strength, r.Source)
}
