package workbook_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/analyze/report"
	"gravid/analyze/report/internal/reporttest"
	"gravid/analyze/report/workbook"
)

func write(t *testing.T, d *report.Document) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, workbook.Write(&b, d, workbook.Options{}))
	return b.Bytes()
}

func TestReopened(t *testing.T) {
	for name, d := range map[string]*report.Document{
		"season": reporttest.Season(), "hostile": reporttest.Hostile(), "figures": reporttest.Figures(),
		"empty": {}, "large": reporttest.Huge(3000),
	} {
		t.Run(name, func(t *testing.T) {
			raw := write(t, d)
			require.NoError(t, workbook.Check(bytes.NewReader(raw), d))
			require.Equal(t, raw, write(t, d), "the same document must give the same bytes")
		})
	}
}
