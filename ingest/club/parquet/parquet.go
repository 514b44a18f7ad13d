// Package parquet writes tables as Parquet files, for programs that read them
// better than Arrow files. It is apart from package club because the Parquet
// library weighs more than the rest of gravid together.
//
// Tables are never kept in this format: the library does not survive damaged files. What
// clubs hand to each other is read by Read, from bytes whose checksum has been verified.
package parquet

import (
	"fmt"
	"io"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/compress"
	"github.com/apache/arrow/go/v15/parquet/pqarrow"

	"gravid/ingest/club"
)

// Write writes a table as a Parquet file, one row group for each record of up to
// club.BatchRows rows. Units, descriptions and terms stay with the columns (in
// the stored Arrow schema); table name and schema version are metadata of the
// file. Parquet has no seconds, so times are stored in milliseconds. A nil
// allocator is Go's own.
func Write(w io.Writer, mem memory.Allocator, s club.Schema, t *club.Tables) error {
	out, err := NewWriter(w, mem, s.Arrow())
	if err != nil {
		return err
	}
	if err := out.Append(s, t); err != nil {
		return err
	}
	return out.Close()
}

// A Writer writes a Parquet file part by part.
type Writer struct {
	mem memory.Allocator
	out *pqarrow.FileWriter
}

// NewWriter begins a file with the columns and the metadata of an Arrow schema.
func NewWriter(w io.Writer, mem memory.Allocator, schema *arrow.Schema) (*Writer, error) {
	if mem == nil {
		mem = memory.DefaultAllocator
	}
	properties := parquet.NewWriterProperties(
		parquet.WithAllocator(mem),
		parquet.WithCompression(compress.Codecs.Snappy),
		parquet.WithStats(false), // the library's keep pointers into memory that is already let go
		parquet.WithCreatedBy("gravid"),
	)
	stored := pqarrow.NewArrowWriterProperties(pqarrow.WithAllocator(mem), pqarrow.WithStoreSchema())
	out := &Writer{mem: mem}
	err := recovered("write", func() (err error) {
		out.out, err = pqarrow.NewFileWriter(schema, plainWriter{w}, properties, stored)
		return err
	})
	return out, err
}

// Append adds the rows of a table, one row group for each club.BatchRows of them.
func (w *Writer) Append(s club.Schema, t *club.Tables) error {
	for rec, err := range s.Records(w.mem, t) {
		if err == nil {
			err = w.Record(rec)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// Record adds the rows of an Arrow record as a row group of their own.
func (w *Writer) Record(rec arrow.Record) error {
	return recovered("write", func() error { return w.out.Write(rec) })
}

// Close writes what stands at the end of a file. It does not close the file.
func (w *Writer) Close() error { return recovered("write", w.out.Close) }

// recovered runs f and turns a panic of the library into an error.
func recovered(what string, f func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%s Parquet: %v", what, p)
		}
	}()
	return f()
}

// A plainWriter hides a Close method from the library, which would call it.
type plainWriter struct{ io.Writer }
