// Package parquet writes tables as Parquet files, for programs that read them
// better than Arrow files. It is apart from package club because the Parquet
// library weighs more than the rest of gravid together.
//
// It does not read Parquet: the library does not survive damaged files, so no
// table is ever kept in this format.
package parquet

import (
	"fmt"
	"io"

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
func Write(w io.Writer, mem memory.Allocator, s club.Schema, t *club.Tables) (err error) {
	if mem == nil {
		mem = memory.DefaultAllocator
	}
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("write Parquet: %v", p)
		}
	}()
	properties := parquet.NewWriterProperties(
		parquet.WithAllocator(mem),
		parquet.WithCompression(compress.Codecs.Snappy),
		parquet.WithStats(false), // the library's keep pointers into memory that is already let go
		parquet.WithCreatedBy("gravid"),
	)
	stored := pqarrow.NewArrowWriterProperties(pqarrow.WithAllocator(mem), pqarrow.WithStoreSchema())
	out, err := pqarrow.NewFileWriter(s.Arrow(), plainWriter{w}, properties, stored)
	if err != nil {
		return err
	}
	for rec, err := range s.Records(mem, t) {
		if err == nil {
			err = out.Write(rec)
		}
		if err != nil {
			return err
		}
	}
	return out.Close()
}

// A plainWriter hides a Close method from the library, which would call it.
type plainWriter struct{ io.Writer }
