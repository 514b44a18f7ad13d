package text

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// No line of a broken text can be taken for a message of the program.
func TestWrapForgesNoMessage(t *testing.T) {
	const s = "a name gravid: note: all is well gravid:error: more gravid: end"
	for w := 1; w < 70; w++ {
		lines := wrap(s, w)
		for _, line := range lines {
			require.False(t, strings.HasPrefix(line, messageStart), "%d: %q", w, line)
			require.LessOrEqual(t, width(line), w)
		}
		if w > 16 {
			require.Equal(t, strings.Fields(s), strings.Fields(strings.Join(lines, " ")))
		}
	}
	require.Equal(t, []string{" gravid: note"}, wrap("gravid: note", 20))
}
