package statstest

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// A Case is one reference case: a method applied to a data set by another
// program, and the numbers it gave.
type Case struct {
	ID      string
	Options *Node // nil where the case has none
	Values  *Node
	All     *Node // the whole file

	t testing.TB
}

// Load reads stats/testdata/reference/expected/ID.json and fails the test if it
// is missing or malformed.
func Load(t testing.TB, id string) *Case {
	t.Helper()
	path := filepath.Join(ReferenceDir(t), "expected", id+".json")
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("reference case %q: %v", id, err)
	}
	all, err := parseNode(raw)
	if err != nil {
		t.Fatalf("reference case %q: %v", id, err)
	}
	c := &Case{ID: id, Options: all.Get("options"), Values: all.Get("values"), All: all, t: t}
	if c.Values == nil {
		t.Fatalf("reference case %q has no values", id)
	}
	return c
}

// IDs lists the reference cases whose name matches the pattern of
// path/filepath.Match, in alphabetical order. It fails the test if there are none.
func IDs(t testing.TB, pattern string) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(ReferenceDir(t), "expected", pattern+".json"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no reference case matches %q (%v)", pattern, err)
	}
	ids := make([]string, len(paths))
	for i, p := range paths {
		ids[i] = strings.TrimSuffix(filepath.Base(p), ".json")
	}
	return ids
}

// ReferenceDir returns the folder stats/testdata/reference of this module,
// found by walking up from the test's working folder to go.mod.
func ReferenceDir(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return filepath.Join(dir, "stats", "testdata", "reference")
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("no go.mod above the working folder")
		}
		dir = up
	}
}

// Has reports whether there is a value at the path.
func (c *Case) Has(path ...string) bool { return c.Values.Get(path...) != nil }

// Float returns the number at the path of Values.
func (c *Case) Float(path ...string) float64 {
	c.t.Helper()
	v, err := c.Values.Get(path...).Float()
	c.check(err, path)
	return v
}

// Floats returns the numbers at the path of Values, as Node.Floats does.
func (c *Case) Floats(path ...string) []float64 {
	c.t.Helper()
	v, err := c.Values.Get(path...).Floats()
	c.check(err, path)
	return v
}

// Keys returns the keys of the object at the path of Values.
func (c *Case) Keys(path ...string) []string { return c.Values.Get(path...).Keys() }

// Text returns the text at the path of Values.
func (c *Case) Text(path ...string) string {
	c.t.Helper()
	v, err := c.Values.Get(path...).Text()
	c.check(err, path)
	return v
}

// Texts returns the texts at the path of Values.
func (c *Case) Texts(path ...string) []string {
	c.t.Helper()
	v, err := c.Values.Get(path...).Texts()
	c.check(err, path)
	return v
}

// Bool returns the truth value at the path of Values.
func (c *Case) Bool(path ...string) bool {
	c.t.Helper()
	v, err := c.Values.Get(path...).Bool()
	c.check(err, path)
	return v
}

// Matrix returns the matrix at the path of Values.
func (c *Case) Matrix(path ...string) Matrix {
	c.t.Helper()
	m, ok := c.Values.Get(path...).matrix()
	if !ok {
		c.check(fmt.Errorf("not a matrix"), path)
	}
	return m
}

// Dataset returns the names of the data sets of the case, for LoadTable.
func (c *Case) Dataset() []string {
	c.t.Helper()
	paths, err := c.All.Get("dataset").Texts()
	c.check(err, []string{"dataset"})
	for i, p := range paths {
		paths[i] = strings.TrimSuffix(filepath.Base(p), ".csv")
	}
	return paths
}

// Tol returns the tolerance of the number at the path: that of the nearest
// enclosing key named in tolerance_by_key, or else the tolerance of the case.
func (c *Case) Tol(path ...string) float64 {
	c.t.Helper()
	byKey := c.All.Get("tolerance_by_key")
	for i := len(path) - 1; i >= 0; i-- {
		if n := byKey.Get(path[i]); n != nil {
			tol, err := n.Float()
			c.check(err, []string{"tolerance_by_key", path[i]})
			return tol
		}
	}
	tol, err := c.All.Get("tolerance").Float()
	c.check(err, []string{"tolerance"})
	return tol
}

// Near compares got with the number at the path by the rule of the pack and the
// tolerance of the case; a null is met by NaN.
func (c *Case) Near(got float64, path ...string) bool {
	c.t.Helper()
	return NearOrNaN(c.t, c.Float(path...), got, c.Tol(path...), c.where(path))
}

// NearAll compares got with the numbers at the path, in the order of the file.
func (c *Case) NearAll(got []float64, path ...string) bool {
	c.t.Helper()
	return NearAll(c.t, c.Floats(path...), got, c.Tol(path...), c.where(path))
}

// NearMatrix compares got with the matrix at the path, row by row.
func (c *Case) NearMatrix(got [][]float64, path ...string) bool {
	c.t.Helper()
	want := c.Matrix(path...).Data
	if len(want) != len(got) {
		c.t.Errorf("%s: want %d rows, got %d", c.where(path), len(want), len(got))
		return false
	}
	ok := true
	for i := range want {
		ok = NearAll(c.t, want[i], got[i], c.Tol(path...), at(c.where(path), i)) && ok
	}
	return ok
}

func (c *Case) where(path []string) string { return c.ID + ": " + strings.Join(path, "/") }

func (c *Case) check(err error, path []string) {
	c.t.Helper()
	if err != nil {
		c.t.Fatalf("%s: %v", c.where(path), err)
	}
}

func at(what string, i int) string { return what + "[" + strconv.Itoa(i) + "]" }

// A Table is a data set of the reference cases.
type Table struct {
	Name    string
	Columns []string
	Rows    [][]string

	t testing.TB
}

// LoadTable reads stats/testdata/reference/data/NAME.csv.
func LoadTable(t testing.TB, name string) *Table {
	t.Helper()
	f, err := os.Open(filepath.Join(ReferenceDir(t), "data", name+".csv"))
	if err != nil {
		t.Fatalf("reference data %q: %v", name, err)
	}
	defer f.Close()
	cells, err := csv.NewReader(f).ReadAll()
	if err != nil || len(cells) < 2 {
		t.Fatalf("reference data %q: %d lines, %v", name, len(cells), err)
	}
	return &Table{Name: name, Columns: cells[0], Rows: cells[1:], t: t}
}

// Len returns the number of rows.
func (d *Table) Len() int { return len(d.Rows) }

// Has reports whether the table has the column.
func (d *Table) Has(column string) bool { return d.index(column) >= 0 }

// Texts returns the cells of a column as written.
func (d *Table) Texts(column string) []string {
	d.t.Helper()
	j := d.index(column)
	if j < 0 {
		d.t.Fatalf("reference data %q has no column %q", d.Name, column)
	}
	out := make([]string, len(d.Rows))
	for i, r := range d.Rows {
		out[i] = r[j]
	}
	return out
}

// Floats returns the numbers of a column; an empty cell is NaN.
func (d *Table) Floats(column string) []float64 {
	d.t.Helper()
	cells := d.Texts(column)
	out := make([]float64, len(cells))
	for i, s := range cells {
		out[i] = math.NaN()
		if s == "" {
			continue
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			d.t.Fatalf("reference data %q, column %q, row %d: %v", d.Name, column, i+1, err)
		}
		out[i] = v
	}
	return out
}

func (d *Table) index(column string) int {
	for j, c := range d.Columns {
		if c == column {
			return j
		}
	}
	return -1
}
