package logit

// An accelerator shortens the way of an iteration whose steps shrink by a
// constant factor: it looks for the mixture of the last few points at which the
// step would be shortest (Anderson 1965; Walker & Ni 2011).
type accelerator struct {
	steps, moves [][]float64 // differences of consecutive steps and of their ends
	step, end    []float64   // the last ones
}

// acceleratorMemory is how many differences are kept.
const acceleratorMemory = 6

// improve takes the step proposed at a point and returns a better one, or nil
// where there is nothing to go by yet.
func (a *accelerator) improve(at, step []float64) []float64 {
	end := make([]float64, len(at))
	for i := range end {
		end[i] = at[i] + step[i]
	}
	if a.step != nil {
		a.steps = remember(a.steps, difference(step, a.step))
		a.moves = remember(a.moves, difference(end, a.end))
	}
	a.step, a.end = append([]float64(nil), step...), end
	if len(a.steps) == 0 {
		return nil
	}
	better := append([]float64(nil), step...)
	for k, w := range shortest(step, a.steps) {
		subtract(better, -w, a.moves[k])
	}
	return better
}

// forget starts anew.
func (a *accelerator) forget() { *a = accelerator{} }

func remember(list [][]float64, v []float64) [][]float64 {
	if len(list) == acceleratorMemory {
		list = list[1:]
	}
	return append(list, v)
}

func difference(a, b []float64) []float64 {
	out := append([]float64(nil), a...)
	subtract(out, 1, b)
	return out
}
