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
	all, err := m.Jackknives(cluster, []int{j}, level)
	if err != nil {
		return LeaveOneOut{}, err
	}
	return all[0], nil
}

// Jackknives is Jackknife for several slopes, which takes no longer than for one.
func (m *Model) Jackknives(cluster, slopes []int, level float64) ([]LeaveOneOut, error) {
	return m.jackknives(cluster, slopes, level, mostExact)
}

// JackknifeExact is Jackknife with an exact refit for every cluster, however many
// there are.
func (m *Model) JackknifeExact(cluster []int, j int, level float64) (LeaveOneOut, error) {
	all, err := m.jackknives(cluster, []int{j}, level, math.MaxInt)
	if err != nil {
		return LeaveOneOut{}, err
	}
	return all[0], nil
}

func (m *Model) jackknives(cluster, slopes []int, level float64, exact int) ([]LeaveOneOut, error) {
	checkLevel(level)
	if err := m.checkClusters(cluster); err != nil {
		return nil, err
	}
	labels := m.clusters(cluster)
	g := len(labels)
	out := make([]LeaveOneOut, len(slopes))
	for i := range out {
		out[i] = LeaveOneOut{Estimate: m.estimate(level, "leave one cluster out, "+m.Penalty.String()), SE: math.NaN(), Clusters: labels}
		out[i].Coef, out[i].Refit = filled(g, math.NaN()), make([]stats.Status, g)
		if out[i].Status.Usable() && g < 2 {
			out[i].Status = stats.TooLittle
			out[i].Warnings = append(out[i].Warnings, stats.Warning{Code: "one-cluster", Text: "all rows belong to one cluster, so nothing can be left out"})
		}
	}
	if !m.Status.Usable() || g < 2 {
		return out, nil
	}
	v := m.newLeaver(cluster, labels)
	near := make([]bool, g)
	expansion := m.expander(cluster, labels)
	each(g, func(k int) {
		step, ok := v.step(k)
		near[k] = ok && g > exact && !m.Separation.Separated() && step.length < farStep && !v.leavesOneOutcome(k)
		if near[k] {
			for i, j := range slopes {
				out[i].Coef[k], out[i].Refit[k] = (m.best.b[j]+step.b[j])/m.full.scale[j], stats.OK
			}
			return
		}
		start := m.best
		if ok && step.length < maxStep {
			start = m.best.clone()
			start.shift(1, step.point)
		}
		if exact < math.MaxInt {
			if x := expansion(); x != nil {
				if b, ok := x.without(k, start, v.curvature); ok {
					for i, j := range slopes {
						out[i].Coef[k], out[i].Refit[k] = b[j]/m.full.scale[j], stats.OK
					}
					return
				}
			}
		}
		coef, status := m.without(cluster, labels[k], slopes, start, v.curvature)
		for i := range slopes {
			out[i].Coef[k], out[i].Refit[k] = coef[i], status[i]
		}
	})
	for i, j := range slopes {
		for _, one := range near {
			if one {
				out[i].Approximated++
			}
		}
		if out[i].Approximated > 0 {
			out[i].Method = "leave one cluster out by one step, " + m.Penalty.String()
		}
		out[i].summarise(m.Coef[j])
	}
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

// without returns the given slopes fitted to the rows outside cluster c, from the given
// start and with the curvature of the penalty at the estimate. Centres and scales stay those of the full table.
func (m *Model) without(cluster []int, c int, slopes []int, near point, curvature []float64) ([]float64, []stats.Status) {
	coef, status := filled(len(slopes), math.NaN()), slices.Repeat([]stats.Status{stats.OK}, len(slopes))
	fail := func(why stats.Status) ([]float64, []stats.Status) {
		for i := range status {
			if status[i] == stats.OK {
				status[i] = why
			}
		}
		return coef, status
	}
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
		return fail(stats.TooLittle)
	}
	drop, lost := informative.unidentified()
	for i, j := range slopes {
		if slices.Contains(lost, j) {
			status[i] = stats.NotIdentifiable
		}
	}
	if !slices.Contains(status, stats.OK) {
		return coef, status
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
		return fail(stats.Separated)
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
		return fail(stats.NotConverged)
	}
	for i, j := range slopes {
		if status[i] == stats.OK {
			coef[i] = start.b[slices.Index(kept, j)] / m.full.scale[j]
		}
	}
	return coef, status
}

// unidentified returns the columns to leave out of a table of informative groups
// so that the rest can be told apart, and all those that can not.
func (t *table) unidentified() (drop, lost []int) {
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
	lost = slices.Clone(drop)
	for _, set := range id.Aliased {
		drop = append(drop, set[0])
		lost = append(lost, set...)
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
