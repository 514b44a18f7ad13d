package species

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestUnlisted holds that a scientific name of a known genus is read as it stands, and
// nothing that may be a slip of the pen, a common name or no name at all.
func TestUnlisted(t *testing.T) {
	n := New(nil)
	for _, name := range []string{"Corydoras bondi", "Aphyosemion hofmanni", " Apistogramma  rositae "} {
		if n.Resolve(name).How != Unknown {
			continue
		}
		got, ok := n.Unlisted(name)
		require.True(t, ok, name)
		require.NotContains(t, got, "  ")
	}
	got, ok := n.Unlisted("Apistogramma rositae")
	require.True(t, ok)
	require.Equal(t, "Apistogramma rositae", got)
	for _, name := range []string{"Danio reriooo", "Corydoras spec", "corydoras bondi", "Blue acara", "Fundax fictus", "Corydoras aeneusi", "Corydoras species", "Danio rerio albino", ""} {
		_, ok := n.Unlisted(name)
		require.False(t, ok, name)
	}
}
