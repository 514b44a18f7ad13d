package problem

import (
	"go/ast"
	"go/parser"
	"go/token"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// declared reads the codes out of codes.go, so that the test sees those that
// nobody listed elsewhere.
func declared(t *testing.T) []Code {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "codes.go", nil, 0)
	require.NoError(t, err)
	var codes []Code
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok || len(spec.Values) != 1 {
			return true
		}
		literal, ok := spec.Values[0].(*ast.BasicLit)
		require.True(t, ok)
		text, err := strconv.Unquote(literal.Value)
		require.NoError(t, err)
		codes = append(codes, Code(text))
		return true
	})
	require.NotEmpty(t, codes)
	return codes
}

func TestEveryCodeIsExplainedOnce(t *testing.T) {
	var explained []Code
	for _, e := range Explanations() {
		explained = append(explained, e.Code)
		require.NotEmpty(t, e.Cause, e.Code)
		require.NotEmpty(t, e.Example, e.Code)
		require.NotEmpty(t, e.Remedy, e.Code)
	}
	require.ElementsMatch(t, declared(t), explained)
	_, ok := Explain("no-such-code")
	require.False(t, ok)
}

func TestPlace(t *testing.T) {
	require.Equal(t, "ana/log.xlsx › 2024 › B5 (Temp)", Place{File: "ana/log.xlsx", Sheet: "2024", Row: 5, Column: "B", Head: "Temp"}.String())
	require.Equal(t, "log.csv › row 7", Place{File: "log.csv", Row: 7}.String())
	require.Equal(t, "log.csv › column C", Place{File: "log.csv", Column: "C"}.String())
}

func TestSortAndGroups(t *testing.T) {
	at := func(row int, column string, s Severity) Problem {
		return Problem{Severity: s, Code: Unusual, Place: Place{File: "a", Row: row, Column: column}}
	}
	ps := []Problem{at(3, "AA", Error), at(3, "B", Error), at(2, "B", Error), at(2, "B", Note)}
	Sort(ps)
	require.Equal(t, []Problem{at(2, "B", Error), at(2, "B", Note), at(3, "B", Error), at(3, "AA", Error)}, ps)
	groups := Groups(ps)
	require.Len(t, groups, 3)
	require.Equal(t, 2, groups[0].Count)
	require.Equal(t, at(2, "B", Error), groups[0].Problem)
	require.Equal(t, 3, Count(ps, Error))
}
