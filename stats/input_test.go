package stats

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestInputErrorNamesTheObservation(t *testing.T) {
	var err error = &InputError{Index: 2, Reason: "the weight cannot be -1"}
	require.EqualError(t, err, "observation 3: the weight cannot be -1")
	var input *InputError
	require.True(t, errors.As(err, &input))
}

func TestLevelOrDefault(t *testing.T) {
	level, err := LevelOrDefault(0)
	require.NoError(t, err)
	require.Equal(t, 0.95, level)
	level, err = LevelOrDefault(0.8)
	require.NoError(t, err)
	require.Equal(t, 0.8, level)
	for _, bad := range []float64{-0.1, 1, 2, math.NaN(), math.Inf(1)} {
		_, err = LevelOrDefault(bad)
		require.ErrorContains(t, err, "between 0 and 1")
	}
}

func TestWithoutTakesTheNumbersAway(t *testing.T) {
	first := make([]Warning, 1, 4)
	first[0] = Warn("before", "one of %d", 2)
	e := Estimate{Value: 3, Lo: 2, Hi: 4, N: 7, Status: OK, Warnings: first}
	a, b := e.Without(TooLittle, Warn("a", "a")), e.Without(NotConverged, Warn("b", "b"))
	require.True(t, math.IsNaN(a.Value) && math.IsNaN(a.Lo) && math.IsNaN(a.Hi))
	require.Equal(t, TooLittle, a.Status)
	require.Equal(t, 7, a.N)
	require.Equal(t, []Warning{{"before", "one of 2"}, {"a", "a"}}, a.Warnings)
	require.Equal(t, "b", b.Warnings[1].Code, "copies must not share their warnings")
	require.Equal(t, 3.0, e.Value)
}
