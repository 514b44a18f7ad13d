package logit

import "slices"

// A MonotoneStep is a stretch of doses with one fitted chance.
type MonotoneStep struct {
	From, To  float64 // lowest and highest dose of the stretch
	Chance    float64
	Successes float64
	Trials    float64
}

// Monotone fits chances that never fall as the dose rises (never rise, where
// falling is true) by pooling adjacent violators (Ayer, Brunk, Ewing, Reid &
// Silverman 1955), which is maximum likelihood under that order. nil trials are one
// each. Steps come in the order of the dose; between two of them the fit may be
// anything from one chance to the other.
func Monotone(dose, successes, trials []float64, falling bool) ([]MonotoneStep, error) {
	d := Data{Y: successes, N: trials, X: [][]float64{dose}, Names: []string{"dose"}}
	if err := d.Validate(); err != nil {
		return nil, err
	}
	sign := 1.0
	if falling {
		sign = -1
	}
	var steps []MonotoneStep
	for _, s := range byDose(d) {
		steps = append(steps, s)
		for k := len(steps) - 1; k > 0 && sign*steps[k].Chance <= sign*steps[k-1].Chance; k-- {
			steps[k-1].join(steps[k])
			steps = steps[:k]
		}
	}
	return steps, nil
}

// byDose adds up the rows of each dose, rising.
func byDose(d Data) []MonotoneStep {
	order := make([]int, 0, d.Rows())
	for i := range d.Y {
		if d.trials(i) > 0 {
			order = append(order, i)
		}
	}
	x := d.X[0]
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case x[a] < x[b]:
			return -1
		case x[a] > x[b]:
			return 1
		}
		return 0
	})
	var out []MonotoneStep
	for _, i := range order {
		row := MonotoneStep{x[i], x[i], d.Y[i] / d.trials(i), d.Y[i], d.trials(i)}
		if n := len(out); n > 0 && out[n-1].To == x[i] {
			out[n-1].join(row)
			continue
		}
		out = append(out, row)
	}
	return out
}

func (s *MonotoneStep) join(next MonotoneStep) {
	s.To = next.To
	s.Successes += next.Successes
	s.Trials += next.Trials
	s.Chance = s.Successes / s.Trials
}
