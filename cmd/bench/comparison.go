package main

import (
	"fmt"
	"math/rand/v2"
	"time"
)

// A comparison is one question put to gravid and to a rival: calls within a process on
// a frame of data (make, ours), or whole runs of the program gravid on a club's folder
// (lay, whole).
type comparison struct {
	name  string // lower case, no spaces
	about string // what is done, in a line
	sizes []int  // numbers of rows
	fixed bool   // the data have but one size

	make func(rows int, rng *rand.Rand) frame
	ours func(f frame) (task, error)

	lay   func(f folder, rows int, rng *rand.Rand) error
	whole func(f folder) (turn, error)

	rival    string   // what is called; "" where there is none
	tool     string   // what runs it, see tools; "" is R
	packages []string // that it needs
	script   string   // see tools

	tolerance float64 // largest difference, relative to the larger of the rival's number and floor
	floor     float64 // in units of the numbers compared

	least  float64       // aim: at least this many times as fast as the rival; 0 for none
	within time.Duration // aim: ours takes less than this; 0 for none
	aimAt  int           // the number of rows that the aim is about
}

// A task is a question ready to be asked: run is timed, values are what came of the
// last run.
type task struct {
	run    func() error
	values func() []value
}

// A value is a number that both sides work out.
type value struct {
	name  string
	value float64
}

// data makes the frame of a comparison from a seed.
func (c comparison) data(rows int, seed uint64) (frame, error) {
	f := c.make(rows, random(rows, seed))
	return f, f.check()
}

// write makes the data from a seed and writes them to a file or folder.
func (c comparison) write(path string, rows int, seed uint64) error {
	if c.lay != nil {
		return c.lay(folder(path), rows, random(rows, seed))
	}
	f, err := c.data(rows, seed)
	if err != nil {
		return err
	}
	return f.write(path)
}

func random(rows int, seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, uint64(rows))) }

// aimed reports whether the aim is about this many rows.
func (c comparison) aimed(rows int) bool { return rows == c.aimAt && (c.least > 0 || c.within > 0) }

// aim puts it into words.
func (c comparison) aim(rows int) string {
	switch {
	case !c.aimed(rows):
		return ""
	case c.within > 0:
		return fmt.Sprintf("< %v", c.within)
	}
	return fmt.Sprintf(">= %gx", c.least)
}

// met reports whether it is reached, given the medians in seconds; rival is 0 where
// there is none.
func (c comparison) met(ours, rival float64) bool {
	if c.within > 0 {
		return ours < c.within.Seconds()
	}
	return rival >= c.least*ours
}
