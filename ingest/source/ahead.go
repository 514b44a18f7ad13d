package source

// A long text is cut in batches of so many rows; of fewer where the rows are so wide
// that they have more cells, since several batches are in the memory.
const batchRows, batchCells = 512, 16 << 10

// A rowBatch is some rows of a long text, and the memory that their cells lie in.
type rowBatch struct {
	rows  []Row
	cells []Cell
}

// fill cuts the next rows. It reports false at the end of the text.
func (b *rowBatch) fill(t *tokeniser) bool {
	b.rows, t.cells = b.rows[:0], b.cells[:0]
	more := true
	for more && len(b.rows) < batchRows && len(t.cells) < batchCells {
		var row Row
		t.first = len(t.cells)
		if row, more = t.next(); more {
			b.rows = append(b.rows, row)
		}
	}
	b.cells = t.cells
	return more
}

// rowsAhead gives the rows of a long text, the next ones of which are cut while one
// is looked at.
func rowsAhead(start func() *tokeniser, yield func(Row) bool) {
	const batches = 3 // one that is filled, one that waits, one that is looked at
	full, empty := make(chan *rowBatch, batches), make(chan *rowBatch, batches)
	for range batches {
		empty <- new(rowBatch)
	}
	go func() {
		defer close(full)
		t := start()
		for b := range empty {
			more := b.fill(t)
			full <- b
			if !more {
				return
			}
		}
	}()
	defer func() { // whatever yield does, the text is not read any more afterwards
		close(empty)
		for range full {
		}
	}()
	for b := range full {
		for _, row := range b.rows {
			if !yield(row) {
				return
			}
		}
		empty <- b
	}
}
