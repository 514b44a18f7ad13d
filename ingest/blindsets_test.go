package ingest

import (
	"strings"
	"testing"

	"gravid/ingest/internal/score"
)

// TestBlindSets prints a measure for each set of logs that was written before it was read.
func TestBlindSets(t *testing.T) {
	for _, set := range []string{"b1-", "b2-", "b3-", "b4-", "b5-"} {
		var all score.Score
		for _, name := range corpusCases(t) {
			if strings.HasPrefix(name, set) {
				s := scoreCase(t, name)
				t.Logf("%s: %s", name, s)
				all.Add(s)
			}
		}
		t.Logf("set %s: %s", set, all)
	}
}
