package logit

import (
	"fmt"
	"math"
	"slices"

	"gravid/stats"
	"gravid/stats/tail"
)

// A LeaveOneOut is the estimate of a slope whose interval comes from fitting anew
// without each cluster of rows in turn.
type LeaveOneOut struct {
	stats.Estimate
	SE       float64        // CV3, see Jackknife
	Clusters []int          // numbers of the clusters, ascending
	Coef     []float64      // the slope without each cluster; NaN where Refit is not usable
	Refit    []stats.Status // how the fit without each cluster went
	Failed   int            // refits that are not usable
	// Approximated counts the clusters whose fit is one step from the full
	// estimate; all others were refitted exactly.
	Approximated int
}

// Up to mostExact clusters every fit is exact. Beyond, one step takes its place,
// except for clusters whose step is longer than farStep standard errors.
const (
	mostExact = 50
	farStep   = 0.5
)

// Jackknife leaves out each cluster of rows in turn. cluster holds the number of
// the cluster of each row. With G clusters, b the slope and b_g the slope without
// cluster g, SE^2 = (G-1)/G sum (b_g - b)^2, known as CV3 (Bell & McCaffrey
// 2002; MacKinnon, Nielsen & Webb 2023), and the interval is b plus and minus
// SE times the t quantile with G-1 degrees of freedom.
//
// With more than 50 clusters, and outcomes that are not separated, b_g is one
// scoring step from b, made of the score and the information without cluster g
// (CV3L of MacKinnon, Nielsen & Webb 2023, here for the penalised score).
// Clusters that matter so much that one step would be too coarse are refitted all
// the same; Approximated counts the others.
//
// A refit of a table with more than 20,000 patterns is made, under the Firth penalty,
// from the expansion of the score to the third degree about the estimate and from the
// rows of the cluster. It comes within a hundred-thousandth of a standard error of
// the fit to all other rows, which is made where the two lie too far apart for that.
// JackknifeExact always refits to all other rows.
//
// If slope j cannot be fitted without some cluster, the records rest on that
// cluster alone: the interval is withheld, Status says how the first such refit
// went, and Failed counts them. A column other than j that no longer varies
// without a cluster is left out of that refit.
func (m *Model) Jackknife(cluster []int, j int, level float64) (LeaveOneOut, error) {
	return m.jackknife(cluster, j, level, mostExact)
}

// JackknifeExact is Jackknife with an exact refit for every cluster, however many
// there are.
func (m *Model) JackknifeExact(cluster []int, j int, level float64) (LeaveOneOut, error) {
	return m.jackknife(cluster, j, level, math.MaxInt)
}

func (m *Model) jackknife(cluster []int, j int, level float64, exact int) (LeaveOneOut, error) {
	checkLevel(level)
	if err := m.checkClusters(cluster); err != nil {
		return LeaveOneOut{}, err
	}
	out := LeaveOneOut{Estimate: m.estimate(level, "leave one cluster out, "+m.Penalty.String()), SE: math.NaN()}
	out.Clusters = m.clusters(cluster)
	g := len(out.Clusters)
	out.Coef, out.Refit = filled(g, math.NaN()), make([]stats.Status, g)
	if !out.Status.Usable() {
		return out, nil
	}
	if g < 2 {
		out.Status = stats.TooLittle
		out.Warnings = append(out.Warnings, stats.Warning{Code: "one-cluster", Text: "all rows belong to one cluster, so nothing can be left out"})
		return out, nil
	}
	v := m.newLeaver(cluster, out.Clusters)
	near := make([]bool, g)
	expansion := m.expander(cluster, out.Clusters)
	each(g, func(k int) {
		step, ok := v.step(k)
		near[k] = ok && g > exact && !m.Separation.Separated() && step.length < farStep && !v.leavesOneOutcome(k)
		if near[k] {
			out.Coef[k], out.Refit[k] = (m.best.b[j]+step.b[j])/m.full.scale[j], stats.OK
			return
		}
		start := m.best
		if ok && step.length < maxStep {
			start = m.best.clone()
			start.shift(1, step.point)
		}
		if x := expansion(); x != nil && exact < math.MaxInt {
			if b, ok := x.without(k, start, v.curvature); ok {
				out.Coef[k], out.Refit[k] = b[j]/m.full.scale[j], stats.OK
				return
			}
		}
		out.Coef[k], out.Refit[k] = m.without(cluster, out.Clusters[k], j, start, v.curvature)
	})
	for _, one := range near {
		if one {
			out.Approximated++
		}
	}
	if out.Approximated > 0 {
		out.Method = "leave one cluster out by one step, " + m.Penalty.String()
	}
	out.summarise(m.Coef[j])
	return out, nil
}

// summarise fills in the interval, or says why there is none.
func (out *LeaveOneOut) summarise(b float64) {
	g := float64(len(out.Clusters))
	squares := 0.0
	for k, s := range out.Refit {
		if s.Usable() {
			squares += (out.Coef[k] - b) * (out.Coef[k] - b)
			continue
		}
		if out.Failed++; out.Failed == 1 {
			out.Status = s
		}
	}
	if out.Failed > 0 {
		out.Warnings = append(out.Warnings, stats.Warning{Code: "refit-failed",
			Text: fmt.Sprintf("without one cluster the figure could not be worked out, for %d of %d clusters: it rests on them alone", out.Failed, len(out.Clusters))})
		return
	}
	out.Value = b
	out.SE = math.Sqrt((g - 1) / g * squares)
	half := tail.StudentUpperQuantile((1-out.Level)/2, g-1) * out.SE
	out.Lo, out.Hi = b-half, b+half
}

// clusters returns the numbers of the clusters that have trials.
func (m *Model) clusters(cluster []int) []int {
	seen := map[int]bool{}
	for i, u := range m.full.rowOf {
		if u >= 0 {
			seen[cluster[i]] = true
		}
	}
	labels := make([]int, 0, len(seen))
	for c := range seen {
		labels = append(labels, c)
	}
	slices.Sort(labels)
	return labels
}

// without returns slope j fitted to the rows outside cluster c, from the given
// start and with the curvature of the penalty at the estimate. Centres and scales stay those of the full table.
func (m *Model) without(cluster []int, c, j int, near point, curvature []float64) (float64, stats.Status) {
	s, n := make([]float64, m.full.patterns()), make([]float64, m.full.patterns())
	for i, u := range m.full.rowOf {
		if u >= 0 && cluster[i] != c {
			s[u] += m.data.weight(i) * m.data.Y[i]
			n[u] += m.data.weight(i) * m.data.trials(i)
		}
	}
	t, from := m.full.with(s, n)
	informative, inner, _ := t.onlyInformative()
	if informative.groups() == 0 {
		return math.NaN(), stats.TooLittle
	}
	drop, lost := informative.unidentified(j)
	if lost {
		return math.NaN(), stats.NotIdentifiable
	}
	if m.Penalty != Firth {
		t = informative
		for k, g := range inner {
			inner[k] = from[g]
		}
		from = inner
	}
	t, kept := t.dropColumns(drop)
	if m.Penalty == None && separate(t, Identifiability{names: make([]string, t.p)}).Separated() {
		return math.NaN(), stats.Separated
	}
	start := point{make([]float64, len(kept)), make([]float64, len(from))}
	for k, column := range kept {
		start.b[k] = near.b[column]
	}
	for k, g := range from {
		start.a[k] = near.a[m.fittedGroup(g)]
	}
	l := m.likelihood(t, kept)
	if len(drop) == 0 {
		l.curvature = curvature
	}
	if _, ok := l.maximise(&start, holdNothing(), m.options); !ok {
		return math.NaN(), stats.NotConverged
	}
	return start.b[slices.Index(kept, j)] / m.full.scale[j], stats.OK
}

// unidentified returns the columns to leave out of a table of informative groups
// so that the rest can be told apart, and whether column j can not.
func (t *table) unidentified(j int) (drop []int, lost bool) {
	var varying []int
	for k := range t.p {
		if t.variesInGroups(k) {
			varying = append(varying, k)
		} else {
			drop = append(drop, k)
		}
	}
	var id Identifiability
	if len(varying) > 0 {
		id.alias(varying, t.triangle(varying))
	}
	lost = slices.Contains(drop, j)
	for _, set := range id.Aliased {
		drop = append(drop, set[0])
		lost = lost || slices.Contains(set, j)
	}
	return drop, lost
}

// dropColumns returns the table without the given columns, and the columns kept.
func (t *table) dropColumns(drop []int) (out *table, kept []int) {
	for j := range t.p {
		if !slices.Contains(drop, j) {
			kept = append(kept, j)
		}
	}
	if len(drop) == 0 {
		return t, kept
	}
	reduced := *t
	reduced.p = len(kept)
	pick := func(from []float64) []float64 {
		to := make([]float64, 0, len(from)/t.p*len(kept))
		for i := 0; i < len(from); i += t.p {
			for _, j := range kept {
				to = append(to, from[i+j])
			}
		}
		return to
	}
	reduced.x = nil
	for _, j := range kept {
		reduced.x = append(reduced.x, t.x[j])
	}
	reduced.center, reduced.scale = pick(t.center), pick(t.scale)
	return &reduced, kept
}
