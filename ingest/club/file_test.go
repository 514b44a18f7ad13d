package club_test

import (
	"bytes"
	"errors"
	"testing"

	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// A dirtyAllocator hands out memory that is full of rubbish, as memory is that
// was used before.
type dirtyAllocator struct {
	memory.Allocator
	rubbish byte
}

func (d dirtyAllocator) Allocate(size int) []byte {
	b := d.Allocator.Allocate(size)
	for i := range b {
		b[i] = d.rubbish
	}
	return b
}

func (d dirtyAllocator) Reallocate(size int, b []byte) []byte {
	grown := d.Allocate(size)
	copy(grown, b)
	return grown
}

// TestSameBytes: the same rows give the same bytes, whatever memory was used
// for before, and rows that were read back give them too.
func TestSameBytes(t *testing.T) {
	for name, in := range map[string]club.Tables{"empty": emptyRows(9), "random": random(6).rows(777), "extreme": extreme().rows(35), "none": {}} {
		t.Run(name, func(t *testing.T) {
			back := roundTrip(t, in)
			for _, s := range club.Schemas(own...) {
				var files [3]bytes.Buffer
				require.NoError(t, club.WriteArrow(&files[0], memory.NewGoAllocator(), s, &in))
				require.NoError(t, club.WriteArrow(&files[1], dirtyAllocator{memory.NewGoAllocator(), 0xa5}, s, &in))
				require.NoError(t, club.WriteArrow(&files[2], dirtyAllocator{memory.NewGoAllocator(), 0xff}, s, &back))
				require.True(t, bytes.Equal(files[0].Bytes(), files[1].Bytes()), "%s: depends on rubbish in memory", s.Table)
				require.True(t, bytes.Equal(files[0].Bytes(), files[2].Bytes()), "%s: rows read back give other bytes", s.Table)
			}
		})
	}
}

// A fullDisk takes some bytes and then no more.
type fullDisk struct{ room int }

func (d *fullDisk) Write(p []byte) (int, error) {
	if d.room -= len(p); d.room < 0 {
		return 0, errors.New("no space left")
	}
	return len(p), nil
}

func TestWriteArrowPassesErrorsOn(t *testing.T) {
	rows := random(7).rows(100)
	for _, room := range []int{0, 100, 5000} {
		mem := memory.NewCheckedAllocator(memory.NewGoAllocator())
		require.ErrorContains(t, club.WriteArrow(&fullDisk{room}, mem, club.Schemas(own...)[0], &rows), "no space left")
		mem.AssertSize(t, 0)
	}
}
