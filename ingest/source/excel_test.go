package source

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// excelBytes writes a workbook by another library.
func excelBytes(t testing.TB, fill func(x *excelize.File)) []byte {
	t.Helper()
	x := excelize.NewFile()
	fill(x)
	var b bytes.Buffer
	require.NoError(t, x.Write(&b))
	require.NoError(t, x.Close())
	return b.Bytes()
}

// setCell sets a cell of the first sheet.
func setCell(t testing.TB, x *excelize.File, cell string, value any) {
	t.Helper()
	require.NoError(t, x.SetCellValue("Sheet1", cell, value))
}

// setFormat gives cells of the first sheet a number format.
func setFormat(t testing.TB, x *excelize.File, from, to, code string) {
	t.Helper()
	style, err := x.NewStyle(&excelize.Style{CustomNumFmt: &code})
	require.NoError(t, err)
	require.NoError(t, x.SetCellStyle("Sheet1", from, to, style))
}
