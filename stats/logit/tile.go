package logit

import "gonum.org/v1/gonum/floats"

// tileRows is how many patterns are worked on at a time, so that their columns stay in
// the first-level cache from one step to the next.
const tileRows = 256

// A tile is room for the sums over a few patterns of one group.
type tile struct {
	w, r  float64   // sums
	mean  []float64 // by w
	info  []float64 // sum of w d d', d the distance from mean; lower triangle, p by p
	score []float64 // sum of r d

	eta, product  []float64
	d             [][]float64 // columns
	weights, rest []float64   // w and r where the likelihood does not keep them
	solved        [][]float64 // with a penalty
}

func newTile(p int, firth bool) *tile {
	b := &tile{mean: make([]float64, p), info: make([]float64, p*p), score: make([]float64, p)}
	room := func() []float64 { return make([]float64, tileRows) }
	b.eta, b.product, b.weights, b.rest = room(), room(), room(), room()
	for range p {
		b.d = append(b.d, room())
	}
	if firth {
		for range p {
			b.solved = append(b.solved, room())
		}
	}
	return b
}

// take works out the sums over patterns lo to hi, which have weights w and residuals
// r. Without weight their mean is the plain one.
func (b *tile) take(t *table, lo, hi int, w, r []float64) {
	n := hi - lo
	b.w, b.r = floats.Sum(w), floats.Sum(r)
	product := b.product[:n]
	for j, column := range t.x {
		x, d := column[lo:hi], b.d[j][:n]
		b.mean[j] = x[0]
		if b.w > 0 {
			b.mean[j] = floats.Dot(w, x) / b.w
		}
		for i, v := range x {
			d[i] = v - b.mean[j]
		}
		floats.MulTo(product, w, d)
		for k := range j + 1 {
			b.info[j*t.p+k] = floats.Dot(product, b.d[k][:n])
		}
		b.score[j] = floats.Dot(r, d)
	}
}

// leverages returns, for patterns lo to hi of a group with the given mean and weight,
// the diagonal of the hat matrix over the weight of the pattern: 1/weight + d' inv(S)
// d, S = L L'. They stay valid until the next call.
func (b *tile) leverages(t *table, lo, hi int, mean []float64, weight float64, s *cholesky) []float64 {
	n := hi - lo
	out := b.eta[:n]
	for i := range out {
		out[i] = 1 / weight
	}
	for j, column := range t.x {
		z := b.solved[j][:n]
		for i, v := range column[lo:hi] {
			z[i] = v - mean[j]
		}
		for k := range j {
			floats.AddScaled(z, -s.l[j*s.n+k], b.solved[k][:n])
		}
		floats.Scale(s.over[j], z)
		for i, v := range z {
			out[i] += v * v
		}
	}
	return out
}

// clear makes the sums of a block those of nothing.
func (s *blockSum) clear() {
	s.kernel = 0
	clear(s.info)
	clear(s.score)
}

// join adds a tile to a segment and to its block: sums about the mean of the segment so
// far and those about the mean of the tile give those about the mean of both (Chan,
// Golub & LeVeque 1983).
func (s *blockSum) join(segment *segmentSum, b *tile) {
	p := len(b.mean)
	subtract(s.info, -1, b.info)
	subtract(s.score, -1, b.score)
	if segment.w == 0 && segment.r == 0 {
		segment.w, segment.r = b.w, b.r
		copy(segment.mean, b.mean)
		return
	}
	all := segment.w + b.w
	share := 0.0
	if all > 0 {
		share = b.w / all
	}
	for j := range p {
		apart := b.mean[j] - segment.mean[j]
		// About the new mean, the segment's residuals lie share*apart lower, the tile's
		// (1-share)*apart higher.
		s.score[j] += ((1-share)*b.r - share*segment.r) * apart
		for k := range j + 1 {
			s.info[j*p+k] += segment.w * share * apart * (b.mean[k] - segment.mean[k])
		}
	}
	for j := range p {
		segment.mean[j] += share * (b.mean[j] - segment.mean[j])
	}
	segment.w, segment.r = all, segment.r+b.r
}
