package answer

import (
	"fmt"
	"math"
	"slices"

	"gravid/analyze/catalogue"
	"gravid/stats/pool"
	"gravid/stats/tail"
)

// Across is one trigger asked of every species in the tables, side by side and, where
// there are enough, together. A species is one draw of the species that this club
// keeps: the pooled figure is about them, never about all fish.
type Across struct {
	Trigger     string       `json:"trigger"`
	TriggerName string       `json:"trigger_name"`
	With        string       `json:"with"`
	Without     string       `json:"without"`
	Answers     []Answer     `json:"answers"`
	NotCompared []NotCounted `json:"not_compared"`
	Species     int          `json:"species"` // that went into the pooled figure
	Pooled      Interval     `json:"pooled_odds_ratio"`
	Next        Interval     `json:"next_species_odds_ratio"` // where the odds ratio of another species is expected to lie
	Spread      Interval     `json:"between_species_sd"`      // standard deviation of the log odds ratio between species
	I2          Num          `json:"i2_percent"`
	Verdict     Verdict      `json:"verdict"`
	Reason      string       `json:"reason,omitempty"` // why nothing was pooled
	Cautions    []string     `json:"cautions"`
	Methods     []string     `json:"methods,omitempty"`
}

// NotCounted is a species that could not be asked, with the gate it stopped at.
type NotCounted struct {
	Species string `json:"species"`
	Status  Status `json:"status"`
	Reason  string `json:"reason"`
}

// Pooling needs 3 species, and the range for another one 5.
const (
	fewestPooled    = 3
	fewestPredicted = 5
)

// MatterAcross asks after one trigger in every species of the tables.
//
// Log odds ratios are pooled by random effects (REML, Paule-Mandel where that does not
// settle), with the modified interval of Knapp and Hartung (2003); the prediction
// interval after Higgins, Thompson & Spiegelhalter (2009). The standard error of a
// species is half its interval over Student's or the normal quantile that made it.
func (k Asker) MatterAcross(species []string, t catalogue.Trigger) Across {
	k = k.withDefaults()
	k.Views = false
	out := Across{Trigger: t.Code, TriggerName: t.Name, With: t.With, Without: t.Without, Answers: []Answer{}, NotCompared: []NotCounted{},
		Pooled: NoInterval(), Next: NoInterval(), Spread: NoInterval(), I2: unknown, Verdict: CannotTell, Cautions: []string{}}
	if t.Caution.Text != "" {
		out.Cautions = append(out.Cautions, t.Caution.Text)
	}
	var y, v []float64
	for _, s := range species {
		a := k.Matter(s, t)
		if !a.OddsRatio.Known() {
			out.NotCompared = append(out.NotCompared, NotCounted{s, a.Status, a.Reason})
			continue
		}
		if t.Kind == catalogue.Dose {
			a.OddsRatio = a.Dose.OddsRatio // of one step, which is the same in every species
		}
		if !a.OddsRatio.Known() {
			out.NotCompared = append(out.NotCompared, NotCounted{s, a.Status, "the amounts follow a curve, so no one ratio stands for a step"})
			continue
		}
		out.Answers = append(out.Answers, a)
		lo, hi := math.Log(lowOf(a.OddsRatio)), math.Log(highOf(a.OddsRatio))
		if se := (hi - lo) / (2 * tail.NormalUpperQuantile((1-k.Level)/2)); se > 0 && !math.IsInf(se, 0) && !a.OddsRatio.Unbounded {
			y, v = append(y, math.Log(float64(a.OddsRatio.Estimate))), append(v, se*se)
		}
	}
	out.Species = len(y)
	if len(y) < fewestPooled {
		out.Reason = fmt.Sprintf("%d species could be compared; from %d on they are taken together", len(y), fewestPooled)
		return out
	}
	k.pool(&out, y, v)
	return out
}

func (k Asker) pool(out *Across, y, v []float64) {
	p, err := pool.Random(y, v, pool.Options{Level: k.Level})
	if err != nil || !p.Modified.Status.Usable() {
		p, err = pool.Random(y, v, pool.Options{Level: k.Level, Spread: pool.PauleMandel})
	}
	if err != nil || !p.Modified.Status.Usable() {
		out.Reason = "the species could not be taken together: the spread between them did not settle"
		return
	}
	out.Pooled = oddsInterval(p.Modified.Estimate, 1)
	sd := p.Tau2
	out.Spread = newInterval(math.Sqrt(sd.Value), math.Sqrt(max(0, sd.Lo)), math.Sqrt(sd.Hi), sd.Level, sd.Method, math.IsInf(sd.Hi, 0))
	out.I2 = Num(p.I2.Value)
	if len(y) >= fewestPredicted && p.Prediction.HigginsT.Status.Usable() {
		out.Next = oddsInterval(p.Prediction.HigginsT, 1)
	}
	out.Verdict = Judge(math.Log(lowOf(out.Pooled)), math.Log(highOf(out.Pooled)), math.Log(RelativeMargin))
	out.Methods = append(out.Methods,
		fmt.Sprintf("Pooled: random effects over %d species, spread by %s, interval of Hartung and Knapp never narrower than the normal one (Knapp & Hartung 2003).", len(y), p.Spread),
		"Each species enters with the logarithm of its odds ratio and the standard error that its interval stands for. The same keepers may have several species; that is not allowed for.",
		fmt.Sprintf("Verdict from the odds ratio against a factor of %.1f either way.", RelativeMargin))
}

// LoggedSpecies are the species of the tables, in order of their names.
func (k Asker) LoggedSpecies() []string {
	var out []string
	for i := range k.Records.Attempts {
		if s := k.Records.Attempts[i].Species; s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	slices.Sort(out)
	return out
}
