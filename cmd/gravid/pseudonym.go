package main

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"path"
	"slices"
	"strings"
	"sync"

	"gravid/ingest"
	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// pseudonyms are what stands for names where a club wants none shown: of keepers,
// tanks, places and logs.
type pseudonyms struct {
	mu                           sync.Mutex
	keepers, tanks, places, logs map[string]string
}

// keeper, tank and place are the names under which one is shown. Those that only
// readings name, which are read later than the tables, come after all others in the
// order in which they are met.
func (p *pseudonyms) keeper(name string) string { return p.of(p.keepers, name, keeperLetters) }
func (p *pseudonyms) tank(name string) string   { return p.of(p.tanks, name, numbered("tank")) }
func (p *pseudonyms) place(name string) string  { return p.of(p.places, name, numbered("place")) }

func (p *pseudonyms) of(known map[string]string, name string, shown func(int) string) string {
	if name == "" {
		return ""
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if known[name] == "" {
		known[name] = shown(len(known))
	}
	return known[name]
}

// hideNames takes all names out of tables, in place: keepers go by letters, tanks,
// places and logs by numbers. What keepers wrote in their own
// words may hold names in any form, so it is left out: remarks, names of species as
// written, headings, names of sheets, and cells that could not be used.
func hideNames(t *club.Tables) *pseudonyms {
	p := pseudonymsOf(t)
	source := func(s *club.Source) { s.File, s.Sheet = p.logs[s.File], "" }
	for i := range t.Attempts {
		a := &t.Attempts[i]
		a.Keeper, a.System, a.Notes, a.SpeciesAsWritten = p.keepers[a.Keeper], p.tanks[a.System], "", ""
		source(&a.Source)
	}
	for i := range t.Clutches {
		c := &t.Clutches[i]
		c.Keeper, c.System, c.Notes, c.HatchAid = p.keepers[c.Keeper], p.tanks[c.System], "", ""
		source(&c.Source)
	}
	for i := range t.Readings {
		r := &t.Readings[i]
		r.Keeper, r.System, r.Place = p.keepers[r.Keeper], p.tanks[r.System], p.places[r.Place]
		source(&r.Source)
	}
	for i := range t.Actions {
		a := &t.Actions[i]
		a.Keeper, a.System = p.keepers[a.Keeper], p.tanks[a.System]
		source(&a.Source)
	}
	for i := range t.Sources {
		s := &t.Sources[i]
		s.File, s.Sheet, s.Mapping = p.logs[s.File], "", ""
		if file, copied := strings.CutPrefix(s.Layout, ingest.DuplicateOf); copied {
			s.Layout = ingest.DuplicateOf + p.logs[file]
		}
	}
	for i := range t.Problems {
		x := &t.Problems[i]
		x.Place.File, x.Place.Sheet, x.Place.Head, x.Value = p.logs[x.Place.File], "", "", ""
		if e, ok := problem.Explain(x.Code); ok {
			x.Message, x.Fix = e.Cause, e.Remedy
		} else {
			x.Message, x.Fix = "", ""
		}
	}
	return p
}

// pseudonymsOf finds the names in tables. Keepers with attempts or clutches have the
// first letters, so that those of whom there is only a logger change none of them.
func pseudonymsOf(t *club.Tables) *pseudonyms {
	var keepers, others, tanks, places, logs names
	for _, a := range t.Attempts {
		keepers.add(a.Keeper)
		tanks.add(a.System)
		logs.add(a.Source.File)
	}
	for _, c := range t.Clutches {
		keepers.add(c.Keeper)
		tanks.add(c.System)
		logs.add(c.Source.File)
	}
	for i := range t.Readings {
		r := &t.Readings[i]
		others.add(r.Keeper)
		tanks.add(r.System)
		places.add(r.Place)
		logs.add(r.Source.File)
	}
	for _, a := range t.Actions {
		others.add(a.Keeper)
		tanks.add(a.System)
		logs.add(a.Source.File)
	}
	for _, s := range t.Sources {
		logs.add(s.File)
	}
	for _, x := range t.Problems {
		logs.add(x.Place.File)
	}
	p := &pseudonyms{tanks: tanks.called(numbered("tank")), places: places.called(numbered("place")), logs: logs.calledInFolders()}
	p.keepers = keepers.called(keeperLetters)
	first := len(p.keepers)
	others.list = slices.DeleteFunc(others.list, func(k string) bool { return p.keepers[k] != "" })
	for k, shown := range others.called(func(n int) string { return keeperLetters(first + n) }) {
		p.keepers[k] = shown
	}
	return p
}

func numbered(what string) func(int) string {
	return func(n int) string { return fmt.Sprintf("%s %d", what, n+1) }
}

func keeperLetters(n int) string { return "Keeper " + letters(n) }

// letters counts A to Z, AA, AB, ...
func letters(n int) string {
	s := ""
	for n++; n > 0; n = (n - 1) / 26 {
		s = string(rune('A'+(n-1)%26)) + s
	}
	return s
}

// names are different names; nothing is none.
type names struct {
	seen map[string]bool
	list []string
	last string
}

func (n *names) add(name string) {
	if name == "" || name == n.last || n.seen[name] { // rows of one log follow each other
		return
	}
	if n.seen == nil {
		n.seen = map[string]bool{}
	}
	n.last, n.seen[name] = name, true
	n.list = append(n.list, name)
}

// called gives each name what the function says of its place in an order that follows
// from the names but not their alphabet, in which members would know each other.
func (n *names) called(shown func(int) string) map[string]string {
	slices.SortFunc(n.list, func(a, b string) int {
		x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
		return bytes.Compare(x[:], y[:])
	})
	out := map[string]string{}
	for i, name := range n.list {
		out[name] = shown(i)
	}
	return out
}

// calledInFolders numbers logs and the folders they are in, so that logs of one folder
// stay together.
func (n *names) calledInFolders() map[string]string {
	out := n.called(func(i int) string { return fmt.Sprintf("log %d", i+1) })
	var folders names
	for _, file := range n.list {
		if dir := path.Dir(file); dir != "." {
			folders.add(dir)
		}
	}
	shown := folders.called(func(i int) string { return fmt.Sprintf("folder %d", i+1) })
	for _, file := range n.list {
		if dir := path.Dir(file); dir != "." {
			out[file] = path.Join(shown[dir], out[file])
		}
	}
	return out
}
