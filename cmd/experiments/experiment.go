package main

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"sync"
	"sync/atomic"
)

// An experiment is a truth planted in one or several worlds.
type experiment struct {
	id      string
	title   string
	planted string // what is true in its worlds, in words
	worlds  []world
}

// A world is one way of making records whose truth is known, and of judging what
// procedures say of them.
type world struct {
	name string
	run  func(s settings, stream string) []figure
}

// settings of a run. workers never changes a result.
type settings struct {
	replicates int
	seed       uint64
	workers    int
}

// newWorld makes a world from one replicate and from the judgement of all of them,
// which come in their order. draw must not write anything but its result.
func newWorld[T any](name string, draw func(*rand.Rand) T, judge func([]T) []figure) world {
	return world{name, func(s settings, stream string) []figure { return judge(replicate(s, stream, draw)) }}
}

// replicate draws s.replicates times, spread over s.workers.
func replicate[T any](s settings, stream string, draw func(*rand.Rand) T) []T {
	results := make([]T, s.replicates)
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(s.workers, s.replicates) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < s.replicates; i = int(next.Add(1)) - 1 {
				results[i] = draw(source(s.seed, stream, i))
			}
		})
	}
	wg.Wait()
	return results
}

// source is the generator of one replicate.
func source(seed uint64, stream string, replicate int) *rand.Rand {
	h := fnv.New64a()
	fmt.Fprintf(h, "%s/%d", stream, replicate)
	return rand.New(rand.NewPCG(seed, h.Sum64()))
}

// A result is what an experiment found.
type result struct {
	ID      string        `json:"id"`
	Title   string        `json:"title"`
	Planted string        `json:"planted"`
	Worlds  []worldResult `json:"worlds"`
}

// A worldResult is what was found in one world.
type worldResult struct {
	Name    string   `json:"name"`
	Figures []figure `json:"figures"`
}

func (e experiment) run(s settings) result {
	r := result{ID: e.id, Title: e.title, Planted: e.planted}
	for _, w := range e.worlds {
		r.Worlds = append(r.Worlds, worldResult{w.name, w.run(s, e.id+"/"+w.name)})
	}
	return r
}

// failed counts the checks that did not pass.
func (r result) failed() int {
	n := 0
	for _, w := range r.Worlds {
		for _, f := range w.Figures {
			if f.Verdict.fails() {
				n++
			}
		}
	}
	return n
}
