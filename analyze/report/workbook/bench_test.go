package workbook_test

import (
	"bytes"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/analyze/report/internal/reporttest"
	"gravid/analyze/report/workbook"
)

// BenchmarkWrite20k writes 20,000 attempts of 11 columns, each with a link.
func BenchmarkWrite20k(b *testing.B) {
	d := reporttest.Huge(20000)
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, workbook.Write(io.Discard, d, workbook.Options{}))
	}
}

// BenchmarkWriteSeason writes the workbook of a season as clubs have it.
func BenchmarkWriteSeason(b *testing.B) {
	d := reporttest.Season()
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, workbook.Write(io.Discard, d, workbook.Options{}))
	}
}

var _ = bytes.NewReader
