//go:build linux

package main

import (
	"archive/zip"
	"bufio"
	"compress/flate"
	"io"
	"os"
	"strings"
)

// A streams writes large content piece by piece, since what this harness holds in
// memory would count as that of the programs it starts. The first error stays.
type streams struct {
	w     io.Writer
	scale int // of 1 to fullScale; what takes long to read is made that much smaller
	err   error
}

// fullScale is the scale of content as its description says.
const fullScale = 20

func (s *streams) repeat(text string, times int) {
	const piece = 64 << 10
	block := text
	if n := min(times, piece/max(1, len(text))); n > 1 {
		block = strings.Repeat(text, n)
		for ; times >= n && s.err == nil; times -= n {
			_, s.err = io.WriteString(s.w, block)
		}
	}
	for ; times > 0 && s.err == nil; times-- {
		_, s.err = io.WriteString(s.w, text)
	}
}

// A maker makes a hostile file at a scale.
type maker func(path string, scale int) error

// text makes a file of what fill writes.
func text(fill func(*streams)) maker {
	return func(path string, scale int) error {
		f, err := os.Create(path)
		if err != nil {
			return err
		}
		w := bufio.NewWriter(f)
		s := &streams{w: w, scale: scale}
		fill(s)
		if s.err == nil {
			s.err = w.Flush()
		}
		if gone := f.Close(); s.err == nil {
			s.err = gone
		}
		return s.err
	}
}

// A part is a file inside a workbook.
type part struct {
	name string
	fill func(*streams)
}

func fixed(content string) func(*streams) {
	return func(s *streams) { s.repeat(content, 1) }
}

// zipped makes a zip archive of parts.
func zipped(parts ...part) maker {
	return func(path string, scale int) error {
		f, err := os.Create(path)
		if err != nil {
			return err
		}
		z := zip.NewWriter(f)
		z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestSpeed) })
		for _, p := range parts {
			w, err := z.Create(p.name)
			if err != nil {
				f.Close()
				return err
			}
			s := &streams{w: w, scale: scale}
			p.fill(s)
			if s.err != nil {
				f.Close()
				return s.err
			}
		}
		err = z.Close()
		if gone := f.Close(); err == nil {
			err = gone
		}
		return err
	}
}
