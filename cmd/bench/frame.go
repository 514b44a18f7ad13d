package main

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
)

// A frame is columns of numbers. Its file has one line of text, the number of rows
// and the names of the columns, then the columns one after the other as
// little-endian 64-bit floats, which R reads with readBin.
type frame struct {
	names   []string
	columns [][]float64
}

// rows returns the number of rows.
func (f frame) rows() int {
	if len(f.columns) == 0 {
		return 0
	}
	return len(f.columns[0])
}

// check refuses what cannot be written.
func (f frame) check() error {
	if len(f.names) != len(f.columns) || f.rows() == 0 {
		return fmt.Errorf("a frame of %d names, %d columns and %d rows makes no sense", len(f.names), len(f.columns), f.rows())
	}
	for j, c := range f.columns {
		if len(c) != f.rows() {
			return fmt.Errorf("column %s has %d rows, the first one %d", f.names[j], len(c), f.rows())
		}
		if f.names[j] == "" || strings.ContainsAny(f.names[j], " \n") {
			return fmt.Errorf("column %d has the name %q, which a line of names cannot hold", j+1, f.names[j])
		}
	}
	return nil
}

// add appends a column.
func (f *frame) add(name string, column []float64) {
	f.names = append(f.names, name)
	f.columns = append(f.columns, column)
}

// get returns a column by name; nil where there is none.
func (f frame) get(name string) []float64 {
	for j, n := range f.names {
		if n == name {
			return f.columns[j]
		}
	}
	return nil
}

// whole returns a column as whole numbers.
func (f frame) whole(name string) []int {
	out := make([]int, f.rows())
	for i, v := range f.get(name) {
		out[i] = int(v)
	}
	return out
}

// begins returns the columns whose names begin with a word, in order.
func (f frame) begins(word string) [][]float64 {
	var out [][]float64
	for j, n := range f.names {
		if strings.HasPrefix(n, word) {
			out = append(out, f.columns[j])
		}
	}
	return out
}

// write writes the file.
func (f frame) write(path string) error {
	file, err := os.Create(path)
	if err != nil {
		return err
	}
	defer file.Close()
	w := bufio.NewWriterSize(file, 1<<20)
	fmt.Fprintf(w, "%d %s\n", f.rows(), strings.Join(f.names, " "))
	var word [8]byte
	for _, c := range f.columns {
		for _, v := range c {
			binary.LittleEndian.PutUint64(word[:], math.Float64bits(v))
			w.Write(word[:]) // the error stays until Flush
		}
	}
	if err := w.Flush(); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return file.Close()
}

// readFrame reads such a file.
func readFrame(path string) (frame, error) {
	file, err := os.Open(path)
	if err != nil {
		return frame{}, err
	}
	defer file.Close()
	r := bufio.NewReaderSize(file, 1<<20)
	line, err := r.ReadString('\n')
	if err != nil {
		return frame{}, fmt.Errorf("%s: no line of names: %w", path, err)
	}
	words := strings.Fields(line)
	if len(words) < 2 {
		return frame{}, fmt.Errorf("%s: the line of names is %q", path, line)
	}
	rows, err := strconv.Atoi(words[0])
	if err != nil || rows < 1 {
		return frame{}, fmt.Errorf("%s: %q is not a number of rows", path, words[0])
	}
	var f frame
	for _, name := range words[1:] {
		c := make([]float64, rows)
		if err := readColumn(r, c); err != nil {
			return frame{}, fmt.Errorf("%s: column %s: %w", path, name, err)
		}
		f.add(name, c)
	}
	return f, nil
}

func readColumn(r io.Reader, c []float64) error {
	buffer := make([]byte, 8*4096)
	for len(c) > 0 {
		k := min(len(c), len(buffer)/8)
		if _, err := io.ReadFull(r, buffer[:8*k]); err != nil {
			return err
		}
		for i := range k {
			c[i] = math.Float64frombits(binary.LittleEndian.Uint64(buffer[8*i:]))
		}
		c = c[k:]
	}
	return nil
}
