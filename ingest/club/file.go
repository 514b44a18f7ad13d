package club

import (
	"errors"
	"fmt"
	"io"
	"iter"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/ipc"
	"github.com/apache/arrow/go/v15/arrow/memory"
)

// WriteArrow writes a table as an Arrow IPC file: plain columns, no
// dictionaries, no compression, records of up to BatchRows rows. The same rows
// give the same bytes. A nil allocator is Go's own.
func WriteArrow(w io.Writer, mem memory.Allocator, s Schema, t *Tables) error {
	if mem == nil {
		mem = memory.DefaultAllocator
	}
	return writeRecords(w, mem, s, s.Records(mem, t))
}

// writeRecords writes records as an Arrow IPC file.
func writeRecords(w io.Writer, mem memory.Allocator, s Schema, records iter.Seq2[arrow.Record, error]) error {
	return recovered(func() error {
		out, err := ipc.NewFileWriter(&position{Writer: w}, ipc.WithSchema(s.Arrow()), ipc.WithAllocator(zeroing{mem}))
		if err != nil {
			return err
		}
		for rec, err := range records {
			if err == nil {
				err = out.Write(rec)
			}
			if err != nil {
				return err
			}
		}
		return out.Close()
	})
}

// zeroing clears the memory that it hands out. The library takes that for granted
// where it writes a column of nothing but nulls, and would write rubbish.
type zeroing struct{ memory.Allocator }

func (z zeroing) Allocate(size int) []byte {
	b := z.Allocator.Allocate(size)
	clear(b)
	return b
}

func (z zeroing) Reallocate(size int, b []byte) []byte {
	old := len(b)
	b = z.Allocator.Reallocate(size, b)
	if old < size {
		clear(b[old:])
	}
	return b
}

// A position is a writer that knows how far it has come. The library asks for a
// Seeker only to learn that.
type position struct {
	io.Writer
	at int64
}

func (p *position) Write(b []byte) (int, error) {
	n, err := p.Writer.Write(b)
	p.at += int64(n)
	return n, err
}

func (p *position) Seek(offset int64, whence int) (int64, error) {
	if offset != 0 || whence != io.SeekCurrent {
		return 0, errors.New("a stream of bytes cannot go back")
	}
	return p.at, nil
}

// eachRecord walks the records of an Arrow IPC file of the schema's table. The
// file must be one that this package wrote, and verified to be so: the library
// does not survive others. A record is valid until visit returns.
func eachRecord(from ipc.ReadAtSeeker, mem memory.Allocator, s Schema, visit func(arrow.Record) error) error {
	var in *ipc.FileReader
	err := recovered(func() (err error) {
		in, err = ipc.NewFileReader(from, ipc.WithAllocator(mem))
		return err
	})
	if err != nil {
		return err
	}
	defer in.Close()
	if err := s.matches(in.Schema()); err != nil {
		return err
	}
	for i := range in.NumRecords() {
		var rec arrow.Record
		err := recovered(func() (err error) {
			rec, err = in.RecordAt(i)
			return err
		})
		if err != nil {
			return fmt.Errorf("record %d: %w", i+1, err)
		}
		err = visit(rec)
		rec.Release()
		if err != nil {
			return err
		}
	}
	return nil
}
