package parquet_test

import (
	"bytes"
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/pqarrow"
	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/club/parquet"
)

func schema(t testing.TB, table string) club.Schema {
	s, err := club.Find(club.Schemas(), table)
	require.NoError(t, err)
	return s
}

// TestWrite reads the file back by the library and compares every cell.
func TestWrite(t *testing.T) {
	at := time.Date(1969, 3, 1, 6, 30, 15, 0, time.UTC)
	rows := club.Tables{Attempts: make([]club.Attempt, club.BatchRows+3)}
	for i := range rows.Attempts {
		a := &rows.Attempts[i]
		if i%3 == 0 {
			continue // nothing recorded
		}
		a.Keeper, a.Began = fmt.Sprintf("keeper %d", i%7), club.Some(at.Add(time.Duration(i)*time.Hour))
		a.Spawned, a.Males, a.PH = club.Some(i%2 == 0), club.Some(int64(i)), club.Some(float64(i)/10)
	}
	s := schema(t, club.TableAttempts)
	var out bytes.Buffer
	mem := memory.NewCheckedAllocator(memory.NewGoAllocator())
	require.NoError(t, parquet.Write(&out, mem, s, &rows))
	mem.AssertSize(t, 0)

	in, err := file.NewParquetReader(bytes.NewReader(out.Bytes()))
	require.NoError(t, err)
	require.Equal(t, 2, in.NumRowGroups())
	require.Equal(t, "attempts", *in.MetaData().KeyValueMetadata().FindValue("table"))
	require.Equal(t, fmt.Sprint(club.SchemaVersion), *in.MetaData().KeyValueMetadata().FindValue("schema_version"))
	reader, err := pqarrow.NewFileReader(in, pqarrow.ArrowReadProperties{}, memory.DefaultAllocator)
	require.NoError(t, err)
	table, err := reader.ReadTable(context.Background())
	require.NoError(t, err)
	defer table.Release()
	require.Equal(t, int64(len(rows.Attempts)), table.NumRows())
	for i, c := range s.Columns {
		f := table.Schema().Field(i)
		require.Equal(t, c.Name, f.Name)
		for key, want := range map[string]string{"unit": c.Unit, "description": c.Description, "term": c.Term} {
			have, _ := f.Metadata.GetValue(key)
			require.Equal(t, want, have, "%s of %s", key, c.Name)
		}
	}
	cells := func(name string) []string {
		var all []string
		for _, chunk := range table.Column(table.Schema().FieldIndices(name)[0]).Data().Chunks() {
			for i := range chunk.Len() {
				all = append(all, chunk.ValueStr(i))
			}
		}
		return all
	}
	null := array.NullValueStr
	want := map[string]func(*club.Attempt) string{
		"keeper": func(a *club.Attempt) string { return a.Keeper },
		"ph":     func(a *club.Attempt) string { return fmt.Sprint(a.PH.V) },
		"males":  func(a *club.Attempt) string { return fmt.Sprint(a.Males.V) },
		"spawned": func(a *club.Attempt) string {
			return fmt.Sprint(a.Spawned.V)
		},
	}
	for name, render := range want {
		have := cells(name)
		for i := range rows.Attempts {
			a := &rows.Attempts[i]
			if i%3 == 0 {
				require.Equal(t, null, have[i], "%s of row %d", name, i)
			} else {
				require.Equal(t, render(a), have[i], "%s of row %d", name, i)
			}
		}
	}
	began := table.Column(table.Schema().FieldIndices("began")[0]).Data()
	unit := began.DataType().(*arrow.TimestampType)
	require.Equal(t, "UTC", unit.TimeZone)
	stamps := began.Chunk(0).(*array.Timestamp)
	require.Equal(t, at.Add(time.Hour), stamps.Value(1).ToTime(unit.Unit))
	require.True(t, stamps.IsNull(0))
}

// TestEmptyAndReproducible: a table without rows is a file too, and the same
// rows give the same bytes.
func TestEmptyAndReproducible(t *testing.T) {
	for _, s := range club.Schemas() {
		var files [2]bytes.Buffer
		for i := range files {
			require.NoError(t, parquet.Write(&files[i], memory.DefaultAllocator, s, &club.Tables{}))
		}
		require.True(t, bytes.Equal(files[0].Bytes(), files[1].Bytes()))
		in, err := file.NewParquetReader(bytes.NewReader(files[0].Bytes()))
		require.NoError(t, err)
		require.Equal(t, int64(0), in.NumRows())
	}
	var files [2]bytes.Buffer
	rows := club.Tables{Readings: make([]club.Reading, 1000)}
	for i := range rows.Readings {
		rows.Readings[i] = club.Reading{Keeper: fmt.Sprint(i % 9), Value: club.Some(float64(i))}
	}
	for i := range files {
		require.NoError(t, parquet.Write(&files[i], memory.DefaultAllocator, schema(t, club.TableReadings), &rows))
	}
	require.True(t, bytes.Equal(files[0].Bytes(), files[1].Bytes()))
}

func TestUnstorable(t *testing.T) {
	rows := club.Tables{Clutches: []club.Clutch{{Loss: "bored"}}}
	require.ErrorContains(t, parquet.Write(&bytes.Buffer{}, memory.DefaultAllocator, schema(t, club.TableClutches), &rows), `row 1, column loss: "bored"`)
}

func BenchmarkWrite(b *testing.B) {
	const n = 200_000
	rows := club.Tables{Readings: make([]club.Reading, n)}
	for i := range rows.Readings {
		rows.Readings[i] = club.Reading{Keeper: "Ana", Quantity: "temperature_c", At: club.Some(time.Unix(int64(i)*60, 0)), Value: club.Some(float64(i % 977))}
	}
	s := schema(b, club.TableReadings)
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, parquet.Write(&bytes.Buffer{}, memory.DefaultAllocator, s, &rows))
	}
}
