package pick

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestByName(t *testing.T) {
	all := []string{"kill-ingest", "kill-season", "twice"}
	same := func(s string) string { return s }
	got, err := ByName(all, same, []string{"twice", "kill", "kill-s"}, "check")
	require.NoError(t, err)
	require.Equal(t, all, got)
	for _, words := range [][]string{{"kill", "nothing"}, {""}} {
		_, err = ByName(all, same, words, "check")
		require.ErrorContains(t, err, "no check is called")
	}
}
