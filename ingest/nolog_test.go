package ingest

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// A sheet that says in its first cell that it is no log is passed over in silence, even
// where it holds what would be read as one; only the very words do that, and only in a
// workbook.
func TestSheetsThatAreNoLog(t *testing.T) {
	book := func(first string) string {
		f := excelize.NewFile()
		require.NoError(t, f.SetSheetName("Sheet1", "Log"))
		_, err := f.NewSheet("Examples")
		require.NoError(t, err)
		table := [][]any{{"Keeper", "Species", "Set up", "Spawned y/n"}, {"Ana", "Danio rerio", "2024-03-01", "yes"}, {"Ana", "Danio rerio", "2024-04-01", "no"}}
		for i, row := range table {
			require.NoError(t, f.SetSheetRow("Log", cellAt(t, 1, i+1), &row))
			require.NoError(t, f.SetSheetRow("Examples", cellAt(t, 1, i+3), &row))
		}
		require.NoError(t, f.SetCellValue("Examples", "A1", first))
		var b bytes.Buffer
		_, err = f.WriteTo(&b)
		require.NoError(t, err)
		return b.String()
	}
	for _, mark := range NoLogMarks {
		got := read(t, map[string]string{"ana/log.xlsx": book(mark + ": only for reading")})
		require.Len(t, got.Attempts, 2, mark)
		require.Empty(t, got.Problems)
		require.Len(t, got.Sources, 2)
		require.Equal(t, "says of itself that it is no log", got.Sources[1].Layout)
	}
	for _, other := range []string{"Not a login", "A log", "not", "This is not a log"} {
		require.Len(t, read(t, map[string]string{"ana/log.xlsx": book(other)}).Attempts, 4, other)
	}
	text := read(t, map[string]string{"ana/log.csv": "Not a log\nSpecies,Set up,Spawned\nDanio rerio,2024-03-13,no\n"})
	require.Len(t, text.Attempts, 1)
}

func cellAt(t *testing.T, col, row int) string {
	t.Helper()
	s, err := excelize.CoordinatesToCellName(col, row)
	require.NoError(t, err)
	return s
}
