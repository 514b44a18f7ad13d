package problem_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gravid/ingest/problem"
)

func dateProblem(row int) problem.Problem {
	return problem.Problem{Severity: problem.Error, Code: problem.DateUnreadable, Place: problem.Place{File: "a.csv", Row: row, Column: "B"}, Value: "x", Message: "no date"}
}

func TestListTellsUsualLogsOneByOne(t *testing.T) {
	var l problem.List
	var want []problem.Problem
	for row := 1; row <= 10_000; row++ {
		l.Add(dateProblem(row))
		want = append(want, dateProblem(row))
	}
	assert.Equal(t, want, l.All())
}

func TestListCountsWhatItDoesNotTell(t *testing.T) {
	var l problem.List
	for row := 1; row <= 50_000; row++ {
		l.Add(dateProblem(row))
		if row%2 == 0 {
			p := dateProblem(row)
			p.Severity, p.Place.Column = problem.Note, "C"
			l.Add(p)
		}
	}
	all := l.All()
	require.Len(t, all, 10_002)
	assert.Equal(t, 50_000, problem.Count(all, problem.Error))
	assert.Equal(t, 25_000, problem.Count(all, problem.Note))
	assert.Equal(t, 75_000, problem.Total(all))
	total := 0
	for _, g := range problem.Groups(all) {
		total += g.Count
	}
	assert.Equal(t, 75_000, total)
	for _, p := range all[10_000:] {
		assert.Contains(t, p.Message, "down to row 50000")
	}
	assert.Equal(t, all, l.All(), "asking twice changes nothing")
}

func TestListGoesBack(t *testing.T) {
	for _, before := range []int{5, 20_000} {
		var l, same problem.List
		for row := range before {
			l.Add(dateProblem(row))
			same.Add(dateProblem(row))
		}
		mark := l.Mark()
		for row := range 30_000 {
			p := dateProblem(before + row)
			p.Place.Column = []string{"B", "C"}[row%2]
			l.Add(p)
		}
		l.BackTo(mark)
		assert.Equal(t, same.All(), l.All())
		l.Add(dateProblem(before))
		same.Add(dateProblem(before))
		assert.Equal(t, same.All(), l.All())
	}
}
