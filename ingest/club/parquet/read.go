package parquet

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/pqarrow"

	"gravid/ingest/club"
)

// Read walks the rows of a Parquet file of a schema's table that a Writer wrote, in
// batches of up to club.BatchRows. The file must be what was written, byte for byte:
// callers verify its checksum first, since the library does not survive other files.
//
// Before any row, check sees the metadata of the file; then table, version of the
// schema, columns, kinds and units must be those of the schema. visit gets the rows in
// their order; they are valid until it returns, their texts may be kept.
func Read(content []byte, s club.Schema, check func(metadata map[string]string) error, visit func(*club.Tables) error) error {
	var stop error // what the caller's own function returned
	err := recovered("read", func() error {
		in, err := file.NewParquetReader(bytes.NewReader(content))
		if err != nil {
			return err
		}
		defer in.Close()
		reader, err := pqarrow.NewFileReader(in, pqarrow.ArrowReadProperties{BatchSize: club.BatchRows}, memory.DefaultAllocator)
		if err != nil {
			return err
		}
		have, err := reader.Schema()
		if err != nil {
			return err
		}
		if err := sameColumns(have, s.Arrow()); err != nil {
			return err
		}
		metadata := map[string]string{}
		for _, kv := range in.MetaData().KeyValueMetadata() {
			metadata[kv.Key] = kv.GetValue()
		}
		for _, key := range []string{"table", "schema_version"} {
			want, _ := s.Arrow().Metadata().GetValue(key)
			if metadata[key] != want {
				return fmt.Errorf("the file says %s %q, this program reads %q", key, metadata[key], want)
			}
		}
		if stop = check(metadata); stop != nil {
			return stop
		}
		records, err := reader.GetRecordReader(context.Background(), nil, nil)
		if err != nil {
			return err
		}
		defer records.Release()
		for records.Next() {
			rec := inSeconds(records.Record(), s.Arrow())
			var t club.Tables
			err := s.Append(&t, rec)
			rec.Release()
			if err != nil {
				return err
			}
			if stop = visit(&t); stop != nil {
				return stop
			}
		}
		if err := records.Err(); !errors.Is(err, io.EOF) { // by which the library says that it is through
			return err
		}
		return nil
	})
	if stop != nil {
		return stop
	}
	return err
}

// sameColumns reports a column whose name, kind or unit is not what the schema says.
func sameColumns(have, want *arrow.Schema) error {
	if have.NumFields() != want.NumFields() {
		return fmt.Errorf("the file has %d columns, the table %d", have.NumFields(), want.NumFields())
	}
	for i, w := range want.Fields() {
		h := have.Field(i)
		if h.Name != w.Name || h.Type.ID() != w.Type.ID() {
			return fmt.Errorf("column %d is %s (%s), the table has %s (%s)", i+1, h.Name, h.Type, w.Name, w.Type)
		}
		unit, _ := h.Metadata.GetValue("unit")
		if wanted, _ := w.Metadata.GetValue("unit"); unit != wanted {
			return fmt.Errorf("column %s is in unit %q, the table in %q", w.Name, unit, wanted)
		}
	}
	return nil
}

// inSeconds is a record with its times, which Parquet holds in milliseconds, as the
// schema has them.
func inSeconds(rec arrow.Record, into *arrow.Schema) arrow.Record {
	columns := make([]arrow.Array, rec.NumCols())
	for i := range columns {
		columns[i] = rec.Column(i)
		in, timed := columns[i].(*array.Timestamp)
		if !timed {
			columns[i].Retain()
			continue
		}
		to := into.Field(i).Type.(*arrow.TimestampType)
		unit := in.DataType().(*arrow.TimestampType).Unit
		b := array.NewTimestampBuilder(memory.DefaultAllocator, to)
		b.Reserve(in.Len())
		for k := range in.Len() {
			if in.IsNull(k) {
				b.AppendNull()
				continue
			}
			b.Append(arrow.Timestamp(in.Value(k).ToTime(unit).Unix()))
		}
		columns[i] = b.NewArray()
		b.Release()
	}
	out := array.NewRecord(into, columns, rec.NumRows())
	for _, c := range columns {
		c.Release()
	}
	return out
}
