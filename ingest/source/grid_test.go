package source

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/problem"
)

// copyRows gives all rows of a grid, to keep.
func copyRows(g Grid) []Row {
	var rows []Row
	for row := range g.Each {
		row.Cells = slices.Clone(row.Cells)
		rows = append(rows, row)
	}
	return rows
}

// textRows gives the texts of a grid's cells by row.
func textRows(g Grid) [][]string {
	var rows [][]string
	for row := range g.Each {
		texts := []string{}
		for _, c := range row.Cells {
			texts = append(texts, c.Text)
		}
		rows = append(rows, texts)
	}
	return rows
}

// rowNumbers gives the numbers of a grid's rows.
func rowNumbers(g Grid) []int {
	var numbers []int
	for row := range g.Each {
		numbers = append(numbers, row.Number)
	}
	return numbers
}

// onlyGrid requires that a file gave just one grid.
func onlyGrid(t testing.TB, f File) Grid {
	t.Helper()
	require.Len(t, f.Grids, 1, "%v", f.Problems)
	return f.Grids[0]
}

// readText reads a text file of which one grid must come.
func readText(t testing.TB, text string) (Grid, []problem.Problem) {
	t.Helper()
	f := Read("log.csv", []byte(text), Limits{})
	return onlyGrid(t, f), f.Problems
}

// withCode gives the problems with that code.
func withCode(problems []problem.Problem, code problem.Code) []problem.Problem {
	var found []problem.Problem
	for _, p := range problems {
		if p.Code == code {
			found = append(found, p)
		}
	}
	return found
}

// onlyError requires that a file was refused with one error of that code, and
// that the error says where it is and what to do.
func onlyError(t testing.TB, f File, code problem.Code) problem.Problem {
	t.Helper()
	require.Empty(t, f.Grids)
	require.Len(t, f.Problems, 1, "%v", f.Problems)
	p := f.Problems[0]
	require.Equal(t, problem.Error, p.Severity, "%v", p)
	require.Equal(t, code, p.Code, "%v", p)
	requireSound(t, f)
	return p
}

// requireSound holds what every problem must have.
func requireSound(t testing.TB, f File) {
	t.Helper()
	for _, p := range f.Problems {
		require.Equal(t, f.Name, p.Place.File, "%v", p)
		require.NotEmpty(t, p.Message, "%v", p)
		require.NotEmpty(t, p.Fix, "%v", p)
		require.NotRegexp(t, `\.$`, p.Message)
		require.NotRegexp(t, `\.$`, p.Fix)
	}
}
