package statstest

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// recorder is a test that fails without failing the real one.
type recorder struct {
	testing.TB
	errors []string
}

type fatal struct{}

func (r *recorder) Helper()                   {}
func (r *recorder) Errorf(f string, a ...any) { r.errors = append(r.errors, fmt.Sprintf(f, a...)) }
func (r *recorder) Fatalf(f string, a ...any) { r.Errorf(f, a...); panic(fatal{}) }

// fails reports whether run fails the test it is given.
func fails(t *testing.T, run func(testing.TB)) bool {
	t.Helper()
	r := &recorder{TB: t}
	func() {
		defer func() {
			if p := recover(); p != nil && p != any(fatal{}) {
				panic(p)
			}
		}()
		run(r)
	}()
	return len(r.errors) > 0
}

func TestNear(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		want, got, tol float64
		near, nearNaN  bool
	}{
		{2, 2.0000001, 1e-7, true, true},
		{2, 2.0000003, 1e-7, false, false},
		{-2, 2, 1e-7, false, false},
		{1e-9, 2e-9, 1e-5, true, true}, // absolute below 1e-3: 1e-9 <= 1e-5 * 1e-3
		{1e-9, 2e-8, 1e-5, false, false},
		{inf, inf, 0, true, true},
		{inf, -inf, 1, false, false},
		{inf, 1e300, 1, false, false},
		{3, inf, 1, false, false},
		{nan, nan, 1, false, true},
		{3, nan, 1, false, false},
		{nan, 3, 1, false, false},
	} {
		what := fmt.Sprintf("%+v", c)
		require.Equal(t, c.near, Close(c.want, c.got, c.tol), what)
		require.Equal(t, !c.near, fails(t, func(tb testing.TB) { Near(tb, c.want, c.got, c.tol, "x") }), what)
		require.Equal(t, !c.nearNaN, fails(t, func(tb testing.TB) { NearOrNaN(tb, c.want, c.got, c.tol, "x") }), what)
	}
	require.True(t, fails(t, func(tb testing.TB) { NearRel(tb, 1e-200, 1.1e-200, 0.01, "x") }))
	require.True(t, fails(t, func(tb testing.TB) { NearRel(tb, inf, 2, 0.01, "x") }))
	require.True(t, fails(t, func(tb testing.TB) { NearRel(tb, nan, nan, 0.01, "x") }))
	require.False(t, fails(t, func(tb testing.TB) { NearRel(tb, 1e-200, 1.1e-200, 0.2, "x") }))
	require.True(t, fails(t, func(tb testing.TB) { NearAll(tb, []float64{1}, []float64{1, 2}, 1, "x") }))
	require.True(t, fails(t, func(tb testing.TB) { NearAll(tb, []float64{1, 3}, []float64{1, 2}, 0.1, "x") }))
}

func TestLoad(t *testing.T) {
	c := Load(t, "logistic_birthwt_full_level90")
	require.Equal(t, []string{"birthwt"}, c.Dataset())
	require.Equal(t, 189.0, c.Float("n_rows_used"))
	require.Equal(t, "smoke", c.Texts("columns")[5])
	require.Equal(t, c.Texts("columns"), c.Keys("coef"), "the order of the file is kept")
	require.Equal(t, c.Float("coef", "age"), c.Floats("coef")[1])
	m := c.Matrix("vcov")
	require.Equal(t, m.Cols, m.Rows)
	require.Equal(t, m.Data[1][2], c.Float("vcov", "age", "lwt"), "a cell by its names")
	require.Equal(t, m.Data[1], c.Floats("vcov", "age"), "a row by its name")
	require.Equal(t, m.Data[1][2], c.Float("vcov", "data", "1", "2"), "a cell by its place")
	require.Equal(t, 1e-8, c.Tol("vcov", "age", "lwt"))
	require.Equal(t, 1e-7, c.Tol("profile_ci", "age", "lower"), "the nearest enclosing key")
	require.True(t, c.Has("lr_global", "p"))
	require.False(t, c.Has("lr_global", "nothing"))
	require.False(t, c.Has("vcov", "nothing", "lwt"))
	require.False(t, c.Has("columns", "99"))
	require.False(t, c.Has("deviance", "x"))
	level, err := c.Options.Get("level").Float()
	require.NoError(t, err)
	require.Equal(t, 0.9, level)
	race, err := c.Options.Get("factors", "race").Texts()
	require.NoError(t, err)
	require.Equal(t, []string{"1", "2", "3"}, race)

	sep := Load(t, "logistic_endometrial_quasi_separation")
	require.True(t, sep.Bool("separated"))
	require.Equal(t, "quasi-complete", sep.Text("kind"))
	require.Equal(t, math.Inf(1), sep.Float("profile_ci95_NV", "upper"))
	require.True(t, math.IsNaN(Load(t, "padjust_ties_and_missing").Float("p", "17")), "null is NaN")
}

func TestCaseNear(t *testing.T) {
	c := Load(t, "firth_endometrial")
	m := c.Matrix("vcov").Data
	require.True(t, c.Near(c.Float("se", "NV")*(1+5e-9), "se", "NV"))
	require.True(t, c.NearAll(c.Floats("se"), "se"))
	require.True(t, c.NearMatrix(m, "vcov"))
	for name, run := range map[string]func(*Case){
		"a number beside its tolerance": func(c *Case) { c.Near(c.Float("se", "NV")*(1+2e-8), "se", "NV") },
		"a missing number":              func(c *Case) { c.Near(0, "se", "no such column") },
		"a text is no number":           func(c *Case) { c.Float("flic_note") },
		"a number is no text":           func(c *Case) { c.Text("level") },
		"numbers are no texts":          func(c *Case) { c.Texts("profile_ci", "data") },
		"an object is no truth value":   func(c *Case) { c.Bool("se") },
		"nothing is no truth value":     func(c *Case) { c.Bool("nothing") },
		"nothing is no vector":          func(c *Case) { c.Floats("nothing") },
		"nothing is no text":            func(c *Case) { c.Text("nothing") },
		"nothing is no list of texts":   func(c *Case) { c.Texts("nothing") },
		"names are no numbers":          func(c *Case) { c.Floats("columns") },
		"a vector is no matrix":         func(c *Case) { c.Matrix("se") },
		"a vector too short":            func(c *Case) { c.NearAll([]float64{1}, "se") },
		"a matrix too short":            func(c *Case) { c.NearMatrix(m[:2], "vcov") },
		"a wrong matrix":                func(c *Case) { c.NearMatrix([][]float64{m[1], m[0], m[2], m[3]}, "vcov") },
	} {
		require.True(t, fails(t, func(tb testing.TB) { c := *c; c.t = tb; run(&c) }), name)
	}
	require.True(t, fails(t, func(tb testing.TB) { Load(tb, "no such case") }))
	require.True(t, fails(t, func(tb testing.TB) { IDs(tb, "no such case*") }))
	require.Contains(t, IDs(t, "firth_*"), "firth_endometrial")
}

func TestParseNode(t *testing.T) {
	for _, bad := range []string{"", "{", "[1,", `{"a":1} 2`, `{"a":1,"a":2}`, `{"a":[}`, `{"a":`} {
		_, err := parseNode([]byte(bad))
		require.Error(t, err, bad)
	}
	n, err := parseNode([]byte(`{"m":{"rows":null,"cols":["a"],"data":[[1],["-Inf"],[null],["Inf"]]},"one":4,"none":[],"t":true}`))
	require.NoError(t, err)
	m, ok := n.Get("m").matrix()
	require.True(t, ok)
	require.Nil(t, m.Rows)
	require.Equal(t, math.Inf(-1), m.Data[1][0])
	v, err := n.Get("one").Floats()
	require.NoError(t, err)
	require.Equal(t, []float64{4}, v, "a bare number is a vector of one")
	v, err = n.Get("none").Floats()
	require.NoError(t, err)
	require.Empty(t, v)
	_, err = n.Get("none").Float()
	require.Error(t, err)
	require.Nil(t, (*Node)(nil).Keys())
	for _, x := range []float64{1.5, math.NaN(), math.Inf(1), math.Inf(-1)} {
		back, err := (&Node{value: jsonNumber(x)}).Float()
		require.NoError(t, err)
		require.True(t, NearOrNaN(t, x, back, 0, "there and back"))
	}
}

func TestLoadTable(t *testing.T) {
	d := LoadTable(t, "lizards")
	require.Equal(t, 23, d.Len())
	require.Equal(t, "narrow", d.Texts("diameter")[0])
	require.Equal(t, 20.0, d.Floats("grahami")[0])
	require.True(t, d.Has("light"))
	require.False(t, d.Has("dark"))
	require.True(t, math.IsNaN(LoadTable(t, "pvalues_chickwts_with_ties_and_missing").Floats("p")[17]), "an empty cell is NaN")
	for name, run := range map[string]func(*Table){
		"no such column":    func(d *Table) { d.Texts("dark") },
		"words, no numbers": func(d *Table) { d.Floats("light") },
	} {
		require.True(t, fails(t, func(tb testing.TB) { d := *d; d.t = tb; run(&d) }), name)
	}
	require.True(t, fails(t, func(tb testing.TB) { LoadTable(tb, "no such table") }))
}

// Every data set and case has its entry in SOURCES.md, and every entry its data
// set.
func TestSourcesNameEveryFile(t *testing.T) {
	dir := ReferenceDir(t)
	raw, err := os.ReadFile(filepath.Join(dir, "SOURCES.md"))
	require.NoError(t, err)
	text := string(raw)
	tables, err := filepath.Glob(filepath.Join(dir, "data", "*.csv"))
	require.NoError(t, err)
	require.NotEmpty(t, tables)
	for _, path := range tables {
		require.Contains(t, text, "\n## "+strings.TrimSuffix(filepath.Base(path), ".csv")+"\n")
	}
	require.Equal(t, len(tables), strings.Count(text, "\n## "), "an entry without a data set")
	for _, id := range IDs(t, "*") {
		require.Regexp(t, `(?m)^- Used by: .*\b`+regexp.QuoteMeta(id)+`\b`, text)
	}
}
