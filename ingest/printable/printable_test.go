package printable_test

import (
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gravid/ingest/printable"
)

func TestLine(t *testing.T) {
	for in, want := range map[string]string{
		"plain": "plain", "  blanks ": "blanks", "a\r\n\tb": "a b", "\x1b[31mred\x07": `\x1b[31mred\x07`, "invoice\u202efdp.exe": `invoice\u202efdp.exe`,
		"bad \xff": `bad \xff`, "\u0085x": "x", "a\u0090b": `a\u0090b`, "\U000e0041": `\U000e0041`, "é 日本語 🐟 عربي \u200d": "é 日本語 🐟 عربي \u200d", "a\u200eb\u200f\u061cc": `a\u200eb\u200f\u061cc`, "a\u2028b\u2029\u2028c": "a b c", "log.csv\ngravid: note: well": "log.csv gravid: note: well", "": "", "\ufeffa": `\ufeffa`, "del\x7f": `del\x7f`,
	} {
		assert.Equal(t, want, printable.Line(in), "%q", in)
	}
}

func FuzzLine(f *testing.F) {
	for _, s := range []string{"", " a\r\n\tb ", "\x1b[31m", "\u061c\u200e\u200f\u202e\u2066\u2028\u2029", "\xff\xfe", "\u0085\u009b31m", "\U000e0041", "é 日本語 🐟 عربي"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := printable.Line(s)
		require.True(t, utf8.ValidString(got))
		for _, r := range got {
			require.False(t, unicode.IsControl(r), "%q", got)
			require.NotContains(t, "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u2028\u2029", string(r), "%q", got)
		}
		require.Equal(t, got, printable.Line(got), "showing twice must change nothing")
	})
}
