package answer

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats/count"
	"gravid/stats/logit"
)

// KeeperFloor is how many attempts with an outcome a keeper must have to be
// compared at all. It is the choice of this program.
const KeeperFloor = 5

// What the other keepers must have of a species for it to say what is expected of
// a keeper: so many of them, with so many attempts together. The choice is ours.
const (
	floorOthers        = 2
	floorOtherAttempts = 10
)

// mostOwn is the share of the attempts behind an expectation that may be the keeper's
// own before it is said that they draw the ratio towards 1.
const mostOwn = 1. / 3

// perExpectation is how many spawnings, and how many attempts without one, the model of
// what is expected has to have for each thing it holds alike: twice as many as where a
// column is only adjusted for, since a model with many parameters explains away some of
// what it should show (common practice, no source).
const perExpectation = 10

// The levels of the control limits of the funnel (Spiegelhalter 2005): about two and
// three standard deviations.
const (
	innerLimits = 0.95
	outerLimits = 0.998
)

// TooFewAttempts and TooFewOthers are why a keeper cannot be compared.
const (
	TooFewAttempts Status = "too-few-attempts" // below KeeperFloor
	TooFewOthers   Status = "too-few-others"   // nobody to compare with in the same species
)

// A KeepersQuestion says which attempts are looked at.
type KeepersQuestion struct {
	Species string // accepted name; empty = all
	Season  int    // year in which attempts began; 0 = all
}

// Keepers holds each keeper's spawnings against those expected of the same attempts
// from what the club saw on the whole. It is in order of name: it is no ranking.
type Keepers struct {
	Season     int                `json:"season,omitempty"`
	Species    string             `json:"species,omitempty"`
	Floor      int                `json:"floor"`
	Compared   int                `json:"compared"`
	Outside    int                `json:"outside_95"`
	FarOutside int                `json:"outside_998"`
	Adjusted   []string           `json:"adjusted_for"`
	Share      Num                `json:"expected_share"` // of the attempts compared: what the funnel is drawn for
	Funnel     []FunnelPoint      `json:"funnel"`
	Keepers    []KeeperRecord     `json:"keepers"`
	Unassigned Aside              `json:"set_aside_shared"` // in logs of several keepers, or of none that is known
	LeftOut    []exposure.LeftOut `json:"left_out"`
	Cautions   []string           `json:"cautions"`
	Notes      []string           `json:"notes,omitempty"`
	Methods    []string           `json:"methods,omitempty"`
}

// A FunnelPoint is the limits, as ratios of observed to expected, outside which so
// many attempts fall by chance alone. A limit is null where none can be outside it.
type FunnelPoint struct {
	Attempts Num `json:"attempts"`
	Low95    Num `json:"low_95"`
	High95   Num `json:"high_95"`
	Low998   Num `json:"low_998"`
	High998  Num `json:"high_998"`
}

// A KeeperRecord is one keeper. Total counts all attempts of the question; those not
// compared are in LeftOut, and the two add up.
type KeeperRecord struct {
	Keeper   string             `json:"keeper"`
	Status   Status             `json:"status"`
	Reason   string             `json:"reason,omitempty"`
	Total    int                `json:"total_attempts"`
	Attempts int                `json:"attempts"` // compared, or with an outcome where the status is not ok
	Spawned  int                `json:"spawned"`
	Expected Num                `json:"expected"`
	Ratio    Interval           `json:"ratio"`
	Standing Standing           `json:"standing,omitempty"`
	Beyond   Num                `json:"beyond_limits"` // 0.95 or 0.998; null where within
	CountsAs Num                `json:"counts_as"`     // attempts of the club's average species that would say as much
	Others   OtherKeepers       `json:"others"`
	Species  []KeeperSpecies    `json:"species"`
	LeftOut  []exposure.LeftOut `json:"left_out"`
	Notes    []string           `json:"notes,omitempty"`
	SetAside Aside              `json:"set_aside"`
}

// Standing says where a keeper's spawnings lie against those expected.
type Standing string

const (
	AsExpected Standing = "as-expected" // within the 95 % control limits
	More       Standing = "more"
	Fewer      Standing = "fewer"
)

// OtherKeepers are the records of others that an expectation comes from, beside the
// keeper's own.
type OtherKeepers struct {
	Keepers  int `json:"keepers"`
	Attempts int `json:"attempts"`
	Spawned  int `json:"spawned"`
}

// KeeperSpecies is one species of one keeper. Expected is null where the others have
// too little of it.
type KeeperSpecies struct {
	Species  string       `json:"species"`
	Attempts int          `json:"attempts"`
	Spawned  int          `json:"spawned"`
	Expected Num          `json:"expected"`
	Others   OtherKeepers `json:"others"`
}

// Keepers answers how each keeper's spawnings compare with those of the club on the
// whole: of the same species, and, as far as the records carry it, with season,
// temperature and the triggers written down for the attempt held alike. t holds the
// tables with the problems, for what was set aside.
//
// What is expected comes from one logistic regression of all attempts, with Firth's
// penalty, an intercept a species and no term for the keeper. With species alone it is,
// for each, (spawned + 1/2) / (attempts + 1). It is then taken as known, and the limits
// of the ratio are exact for a sum of unequal trials (package stats/count). Since a
// keeper's own attempts are among those of the club, ratios are drawn a little towards
// 1, and the limits err on the side of calling nobody out of the ordinary.
func (k Asker) Keepers(q KeepersQuestion, t *club.Tables) Keepers {
	k = k.withDefaults()
	out := Keepers{Season: q.Season, Species: q.Species, Floor: KeeperFloor, Share: unknown, Adjusted: []string{}, Funnel: []FunnelPoint{}, Keepers: []KeeperRecord{}}
	c := k.newPeers(q)
	c.chooseColumns(&out)
	c.expect()
	asides := asidesOf(t)
	for _, name := range c.names {
		r := c.keeper(name)
		r.SetAside = asides.of(name)
		out.Keepers = append(out.Keepers, r)
	}
	out.Unassigned = asides.of("")
	out.LeftOut = c.leftOut
	out.drawFunnel()
	out.say(c.plain)
	return out
}

// peers are the attempts that keepers are compared by.
type peers struct {
	Asker
	names   []string // keepers with any attempt of the question, in order of name
	total   map[string]int
	without map[string][]exposure.LeftOut
	leftOut []exposure.LeftOut
	frame   *exposure.Frame
	species []string // of the frame, in order of name
	of      []int    // species of each row
	adjust  []column
	chances []float64 // of each row, to have spawned
	plain   bool      // they come from the species alone
}

func (k Asker) newPeers(q KeepersQuestion) *peers {
	c := &peers{Asker: k, total: map[string]int{}, without: map[string][]exposure.LeftOut{}}
	asked := func(a *club.Attempt) bool {
		return (q.Species == "" || a.Species == q.Species) && (q.Season == 0 || seasonOf(a, k.Records.Zone) == q.Season)
	}
	for i := range k.Records.Attempts {
		a := &k.Records.Attempts[i]
		if !asked(a) {
			continue
		}
		reason := k.Records.Unusable(a)
		if reason != "" {
			c.leftOut = addReason(c.leftOut, reason)
			c.without[a.Keeper] = addReason(c.without[a.Keeper], reason)
		}
		c.total[a.Keeper]++
	}
	for name := range c.total {
		if name != "" {
			c.names = append(c.names, name)
		}
	}
	slices.Sort(c.names)
	if c.leftOut == nil {
		c.leftOut = []exposure.LeftOut{}
	}
	c.frame = k.Records.AllRows(asked)
	for _, at := range c.frame.Attempt {
		c.species = append(c.species, k.Records.Attempts[at].Species)
	}
	slices.Sort(c.species)
	c.species = slices.Compact(c.species)
	for _, at := range c.frame.Attempt {
		j, _ := slices.BinarySearch(c.species, k.Records.Attempts[at].Species)
		c.of = append(c.of, j)
	}
	return c
}

// seasonOf is the year in which an attempt began, or else spawned; 0 where neither
// is known.
func seasonOf(a *club.Attempt, zone *time.Location) int {
	switch {
	case a.Began.OK:
		return a.Began.V.In(zone).Year()
	case a.SpawnedAt.OK:
		return a.SpawnedAt.V.In(zone).Year()
	}
	return 0
}

// chooseColumns sets what is held alike besides the species: the season, then
// temperature and the other triggers of the attempt in the order of the catalogue,
// while there are 10 spawnings, and 10 attempts without one, for each parameter.
func (c *peers) chooseColumns(out *Keepers) {
	f := c.frame
	out.Adjusted = append(out.Adjusted, "species")
	budget := min(f.Spawned(), len(f.Y)-f.Spawned())/perExpectation - len(c.species)
	add := func(name string, columns ...[]float64) bool {
		if len(columns) > budget {
			return false
		}
		budget -= len(columns)
		for i, x := range columns {
			c.adjust = append(c.adjust, column{fmt.Sprintf("%s %d", name, i+1), x})
		}
		out.Adjusted = append(out.Adjusted, name)
		return true
	}
	if f.Months() >= seasonMonths {
		_, two := f.Season(2)
		_, one := f.Season(1)
		_ = add("season", two...) || add("season", one...)
	}
	var filled []string
	for _, t := range (&comparison{Asker: c.Asker}).others() {
		if t.FromAttempt == nil {
			continue
		}
		x, missing, ok := c.recorded(c.Records.Values(f, t, 0))
		if ok && add(t.Name, x) && missing > 0 {
			filled = append(filled, fmt.Sprintf("%s (%d)", t.Name, missing))
		}
	}
	if len(filled) > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("where something held alike was not written down, the mean of the species stands in: %s of %d attempts", strings.Join(filled, ", "), len(f.Y)))
	}
}

// recorded fills the blanks of a column, at most a fifth of it, with the mean of the
// species. False where there are more blanks, or where nothing varies.
func (c *peers) recorded(x []float64) (filled []float64, missing int, ok bool) {
	sum, n := make([]float64, len(c.species)), make([]float64, len(c.species))
	var all, known float64
	for i, v := range x {
		if math.IsNaN(v) {
			missing++
			continue
		}
		sum[c.of[i]] += v
		n[c.of[i]]++
		all += v
		known++
	}
	if float64(missing) > mostFilled*float64(len(x)) || known == 0 {
		return nil, missing, false
	}
	for i, v := range x {
		switch j := c.of[i]; {
		case !math.IsNaN(v):
		case n[j] > 0:
			x[i] = sum[j] / n[j]
		default:
			x[i] = all / known
		}
	}
	return x, missing, slices.Min(x) < slices.Max(x)
}

// keeper compares one keeper with the others.
func (c *peers) keeper(name string) KeeperRecord {
	r := KeeperRecord{Keeper: name, Status: OK, Total: c.total[name], Expected: unknown, Ratio: NoInterval(), Beyond: unknown, CountsAs: unknown,
		LeftOut: append([]exposure.LeftOut{}, c.without[name]...), Species: []KeeperSpecies{}}
	own := slices.Index(c.frame.Keepers, name) // -1 where no attempt of the keeper is in the frame
	usable := c.bySpecies(&r, own)
	if c.Records.SpawnsOnly[name] {
		r.Status, r.Reason = SpawningsOnly, "writes down spawnings only, so the attempts that came to nothing are not known and nothing can be compared"
		return r
	}
	if r.Attempts < KeeperFloor {
		r.Status = TooFewAttempts
		r.Reason = fmt.Sprintf("%s with an outcome; below %d nothing is compared: so few say too little", attempts(r.Attempts), KeeperFloor)
		return r
	}
	var compared []int
	for i, g := range c.frame.Keeper {
		if g == own && usable[c.of[i]] {
			compared = append(compared, i)
		}
	}
	if len(compared) < KeeperFloor {
		r.Status = TooFewOthers
		r.Reason = fmt.Sprintf("%s of species of which at least %d other keepers have %d attempts together; below %d nothing is compared", attempts(len(compared)), floorOthers, floorOtherAttempts, KeeperFloor)
		return r
	}
	c.compare(&r, own, compared)
	return r
}

// attempts is a number of attempts in words.
func attempts(n int) string {
	if n == 1 {
		return "1 attempt"
	}
	return fmt.Sprintf("%d attempts", n)
}

// bySpecies counts a keeper's attempts and the others' by species, and returns the
// species of which the others have enough.
func (c *peers) bySpecies(r *KeeperRecord, own int) (usable map[int]bool) {
	usable = map[int]bool{}
	for j, species := range c.species {
		s := KeeperSpecies{Species: species, Expected: unknown}
		others := map[int]bool{}
		for i := range c.of {
			switch {
			case c.of[i] != j:
			case c.frame.Keeper[i] == own:
				s.Attempts++
				s.Spawned += int(c.frame.Y[i])
			default:
				others[c.frame.Keeper[i]] = true
				s.Others.Attempts++
				s.Others.Spawned += int(c.frame.Y[i])
			}
		}
		if s.Attempts == 0 {
			continue
		}
		s.Others.Keepers = len(others)
		usable[j] = s.Others.Keepers >= floorOthers && s.Others.Attempts >= floorOtherAttempts
		r.Attempts += s.Attempts
		r.Spawned += s.Spawned
		r.Species = append(r.Species, s)
	}
	return usable
}

// compare holds the spawnings of the compared rows against the chances of them.
func (c *peers) compare(r *KeeperRecord, own int, compared []int) {
	for range r.Attempts - len(compared) {
		r.LeftOut = addReason(r.LeftOut, "species of which the other keepers have too few attempts")
	}
	hits, chances, expected, others := 0, []float64{}, make([]float64, len(c.species)), map[int]bool{}
	for _, i := range compared {
		hits += int(c.frame.Y[i])
		chances = append(chances, c.chances[i])
		expected[c.of[i]] += c.chances[i]
	}
	for k := range r.Species {
		s := &r.Species[k]
		j, _ := slices.BinarySearch(c.species, s.Species)
		if expected[j] == 0 {
			continue
		}
		s.Expected = Num(expected[j])
		r.Others.Attempts += s.Others.Attempts
		r.Others.Spawned += s.Others.Spawned
		for i, g := range c.frame.Keeper {
			if c.of[i] == j && g != own {
				others[g] = true
			}
		}
	}
	r.Others.Keepers = len(others)
	o, err := count.ObservedExpected(hits, chances, c.Level)
	if err != nil { // chances of a model are within 0 and 1
		panic("analyze/answer: " + err.Error())
	}
	r.Attempts, r.Spawned, r.Expected, r.Ratio = len(compared), hits, Num(o.Expected), fromEstimate(o.Estimate)
	r.Standing, r.Beyond = standing(o)
	// Replaced by attempts of the club's average species once its share is known.
	r.CountsAs = Num(o.Expected * o.Expected / o.Variance)
	if all := r.Attempts + r.Others.Attempts; float64(r.Attempts) > mostOwn*float64(all) {
		r.Notes = append(r.Notes, fmt.Sprintf("%d of the %d attempts that the expectation comes from are this keeper's own, which draws the ratio towards 1", r.Attempts, all))
	}
}

func standing(o count.Observed) (Standing, Num) {
	at, side := o.AtLeast, More
	if o.AtMost < o.AtLeast {
		at, side = o.AtMost, Fewer
	}
	switch {
	case at <= (1-outerLimits)/2:
		return side, outerLimits
	case at <= (1-innerLimits)/2:
		return side, innerLimits
	}
	return AsExpected, unknown
}

// expect works out the chance of each row by a model of all rows without a term for
// the keeper.
func (c *peers) expect() {
	if len(c.frame.Y) == 0 {
		return
	}
	adjust := c.adjust
	m := c.fit(adjust)
	if !m.Status.Usable() && len(adjust) > 0 {
		adjust = nil
		m = c.fit(nil)
	}
	c.plain = len(adjust) == 0
	if !m.Status.Usable() { // one outcome only: the same penalty in closed form
		c.shares()
		return
	}
	intercept := map[int]float64{}
	for k, g := range m.Groups {
		intercept[g] = m.Intercept[k]
	}
	for i, j := range c.of {
		eta := intercept[j]
		for l, a := range adjust {
			eta += m.Coef[l] * a.values[i]
		}
		const reach = 30 // log odds: beyond it a chance is 0 or 1 to the last figure
		c.chances = append(c.chances, logistic(max(-reach, min(reach, eta))))
	}
}

func (c *peers) fit(adjust []column) *logit.Model {
	d := logit.Data{Y: c.frame.Y, Group: c.of}
	for _, a := range adjust {
		d.X = append(d.X, a.values)
		d.Names = append(d.Names, a.name)
	}
	m, err := logit.Fit(d, logit.Options{Penalty: logit.Firth})
	if err != nil { // the frame holds finite numbers of equal length only
		panic("analyze/answer: " + err.Error())
	}
	return m
}

// shares sets the chances by species alone.
func (c *peers) shares() {
	n, hits := make([]float64, len(c.species)), make([]float64, len(c.species))
	for i, y := range c.frame.Y {
		n[c.of[i]]++
		hits[c.of[i]] += y
	}
	for _, j := range c.of {
		c.chances = append(c.chances, (hits[j]+0.5)/(n[j]+1))
	}
}

// drawFunnel works out the control limits, and for how many attempts of the club's
// average species each keeper's count: that species has the share of spawnings that
// is expected over all attempts compared, and so many attempts of it would leave the
// ratio the same spread. For a single species without more they are the attempts.
func (k *Keepers) drawFunnel() {
	var expected, trials float64
	for _, r := range k.Keepers {
		if r.Status == OK {
			expected += float64(r.Expected)
			trials += float64(r.Attempts)
			k.Compared++
			if r.Standing != AsExpected {
				k.Outside++
			}
			if r.Beyond == outerLimits {
				k.FarOutside++
			}
		}
	}
	if k.Compared == 0 {
		return
	}
	share := expected / trials
	k.Share = Num(share)
	most := 0.0
	for i := range k.Keepers {
		if r := &k.Keepers[i]; r.Status == OK {
			r.CountsAs *= Num((1 - share) / share)
			most = max(most, float64(r.CountsAs))
		}
	}
	for _, n := range funnelSizes(share, most) {
		p := FunnelPoint{Attempts: Num(n)}
		p.Low95, p.High95 = limitsAt(n, share, innerLimits)
		p.Low998, p.High998 = limitsAt(n, share, outerLimits)
		k.Funnel = append(k.Funnel, p)
	}
}

// funnelSteps is how many sizes the limits of the funnel are worked out for, from
// funnelFrom on: fewer attempts are below KeeperFloor, however they count.
const (
	funnelSteps = 24
	funnelFrom  = 2.0
)

// funnelSizes are numbers of attempts up to a little more than the most, each the same
// share larger than the one before, and those from which on there are limits.
func funnelSizes(share, most float64) []float64 {
	most = math.Ceil(max(1.05*most, KeeperFloor))
	var sizes []float64
	for i := range funnelSteps {
		sizes = append(sizes, funnelFrom*math.Pow(most/funnelFrom, float64(i)/(funnelSteps-1)))
	}
	for _, level := range []float64{innerLimits, outerLimits} {
		q := math.Log((1 - level) / 2)
		for _, never := range []float64{share, 1 - share} {
			if n := q / math.Log(never); n > funnelFrom && n < most { // from here on all, or none, lies outside
				sizes = append(sizes, n)
			}
		}
	}
	slices.Sort(sizes)
	return slices.Compact(sizes)
}

func limitsAt(n, share, level float64) (lo, hi Num) {
	low, high, err := count.FunnelLimits(n, share, level)
	if err != nil { // sizes are positive and the share is a mean of chances
		panic("analyze/answer: " + err.Error())
	}
	return Num(low / (n * share)), Num(high / (n * share))
}

func (k *Keepers) say(plain bool) {
	k.Cautions = []string{
		"a ratio is about records, not about people: tanks, water, stock, what was written down and luck all go into it",
		"attempts of one keeper share tanks and fish and so are more alike than chance allows for; keepers lie outside the limits more often than the limits say, with nothing special about them",
	}
	model := "Expected: the club's share in the same species, (spawned + ½) / (attempts + 1), over all attempts compared."
	if plain && len(k.Adjusted) > 1 {
		k.Adjusted = k.Adjusted[:1]
		k.Notes = append(k.Notes, "what is expected comes from the species alone, since the records could not tell the rest apart")
	}
	if !plain {
		model = "Expected: the sum of the chances by a logistic regression of the club's attempts without a term for the keeper, with the penalty of Firth (1993), one intercept a species, and " + strings.Join(k.Adjusted[1:], ", ") + "."
	}
	k.Methods = append(k.Methods, "Keepers are in order of name; nobody is ranked.", model,
		"A keeper's own attempts are among those of the club, so that ratios are drawn a little towards 1 and the limits err on the side of calling nobody out of the ordinary.",
		fmt.Sprintf("A species counts where at least %d other keepers have at least %d attempts of it together; a keeper is compared from %d attempts on.", floorOthers, floorOtherAttempts, KeeperFloor),
		"Ratio: observed by expected (indirect standardisation), with exact limits for a sum of unequal trials, the expectation taken as known. For one species they are the limits of Clopper and Pearson (1934) by the share expected.",
		"Funnel: limits about what is expected (Spiegelhalter 2005) by the exact binomial tails, 2.5 % and 0.1 % on either side. A keeper with several species counts as so many attempts of a species with the share expected in all as leave the ratio the same spread; whether a keeper lies outside is told by that keeper's own attempts.")
}
