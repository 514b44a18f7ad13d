package main

import (
	"context"
	"reflect"
	"slices"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/register"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/x/beamx"

	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/ingest/club/federation"
)

// A Lot is rows of one club that one sky tells the changes of.
type Lot struct {
	Club string
	Rows []Row
}

// A Length is how many readings a sky has in all.
type Length struct {
	Keeper, System, Place string
	Readings              int64
}

// Counted is a pattern, as keyOf its texts, and the days that have it.
type Counted struct {
	Pattern string
	Days    int64
}

func init() {
	for _, t := range []any{ClubTask{}, Row{}, Lot{}, Length{}, Counted{}, exposure.Part{}} {
		beam.RegisterType(reflect.TypeOf(t))
	}
	register.DoFn3x1[context.Context, ClubTask, func(string, exposure.Part), error](&takeParts{})
	register.Combiner1[exposure.Part](&mergeParts{})
	register.Function2x3(lengthOf)
	register.DoFn5x1[context.Context, string, func(*ClubTask) bool, func(*Length) bool, func(string, Lot), error](&layOut{})
	register.DoFn5x1[string, func(*exposure.Part) bool, func(*Lot) bool, func(string, Lot), func(string, int64), error](&fillLots{})
	register.DoFn3x1[context.Context, string, func(*Lot) bool, error](&keepDays{})
	register.Function1x2(byClub)
	register.Function2x1(sum)
	register.Function2x1(asCounted)
	register.DoFn4x1[context.Context, int, func(*string) bool, func(*Counted) bool, error](&keepCounts{})
	register.Emitter2[string, exposure.Part]()
	register.Emitter2[string, Length]()
	register.Emitter2[string, Lot]()
	register.Emitter2[string, int64]()
	register.Iter1[ClubTask]()
	register.Iter1[Length]()
	register.Iter1[Lot]()
	register.Iter1[exposure.Part]()
	register.Iter1[string]()
	register.Iter1[Counted]()
}

// onEngine runs the step on the engine that --runner names: by default prism, in this
// process.
func onEngine(ctx context.Context, from, to, trigger string) error {
	p, s := beam.NewPipelineWithRoot()
	if err := pipeline(ctx, s, from, to, trigger); err != nil {
		return err
	}
	return beamx.Run(ctx, p)
}

// pipeline lays out the step for an engine. What grows with the readings is the first
// step alone, one file at a time; from there on things grow with the days of logs and of
// attempts. Keys are skies, so that no worker needs a whole club's readings, and at the
// end clubs, for their tables of days.
func pipeline(ctx context.Context, s beam.Scope, from, to, trigger string) error {
	if _, err := ruleOf(trigger); err != nil {
		return err
	}
	tasks, manifests, err := clubsIn(ctx, from)
	if err != nil {
		return err
	}
	var files []ClubTask
	for i, m := range manifests {
		for k, f := range m.Files {
			if f.Table == club.TableReadings {
				files = append(files, ClubTask{Folder: tasks[i].Folder, Manifest: tasks[i].Manifest, File: int64(k)})
			}
		}
	}
	// Without Reshuffle an engine may leave all files to one worker.
	parts := beam.ParDo(s, &takeParts{From: from, Trigger: trigger}, beam.Reshuffle(s, beam.CreateList(s, files)))
	skies := beam.CombinePerKey(s, &mergeParts{Trigger: trigger}, parts)
	lengths := beam.ParDo(s, lengthOf, skies)
	clubs := beam.ParDo(s, byClub, beam.CreateList(s, tasks))
	lots := beam.ParDo(s, &layOut{From: from, Trigger: trigger}, beam.CoGroupByKey(s, clubs, lengths))
	filled, counted := beam.ParDo2(s, &fillLots{Trigger: trigger}, beam.CoGroupByKey(s, skies, lots))
	beam.ParDo0(s, &keepDays{To: to, Trigger: trigger}, beam.GroupByKey(s, filled))
	one := beam.AddFixedKey(s, beam.ParDo(s, asCounted, beam.CombinePerKey(s, sum, counted)))
	// The empty text makes a table of counts also where there are none.
	beam.ParDo0(s, &keepCounts{To: to, Trigger: trigger}, beam.CoGroupByKey(s, beam.AddFixedKey(s, beam.Create(s, "")), one))
	return nil
}

// takeParts reads a file of readings and makes a part of each sky in it.
type takeParts struct{ From, Trigger string }

// ProcessElement gives parts by sky.
func (x *takeParts) ProcessElement(ctx context.Context, task ClubTask, emit func(sky string, part exposure.Part)) error {
	d, err := ruleOf(x.Trigger)
	if err != nil {
		return err
	}
	m, err := task.open(ctx, x.From)
	if err != nil {
		return err
	}
	zone, err := m.Location()
	if err != nil {
		return err
	}
	makers := map[exposure.Sky]*exposure.PartMaker{}
	err = m.Read(reader(ctx, x.From), m.Files[task.File], func(first int64, t *club.Tables) error {
		for i, r := range t.Readings {
			if r.Quantity != d.Quantity || !r.At.OK || !r.Value.OK {
				continue
			}
			sky := exposure.Sky{Keeper: r.Keeper, System: r.System, Place: r.Place}
			if makers[sky] == nil {
				makers[sky] = exposure.NewPartMaker(zone, d)
			}
			makers[sky].Add(r.At.V.Unix(), first+int64(i), r.Value.V)
		}
		return nil
	})
	if err != nil {
		return err
	}
	for sky, maker := range makers {
		emit(keyOf(m.Club, sky.Keeper, sky.System, sky.Place), maker.Part())
	}
	return nil
}

// mergeParts puts the parts of a sky together.
type mergeParts struct{ Trigger string }

// MergeAccumulators merges two parts that share no readings.
func (x *mergeParts) MergeAccumulators(a, b exposure.Part) (exposure.Part, error) {
	d, err := ruleOf(x.Trigger)
	if err != nil {
		return a, err
	}
	return a.Merge(b, d), nil
}

// lengthOf tells a club how many readings one of its skies has.
func lengthOf(sky string, part exposure.Part) (string, Length, error) {
	t, err := textsOf(sky)
	if err != nil {
		return "", Length{}, err
	}
	return federation.Folder(t[0]), Length{Keeper: t[1], System: t[2], Place: t[3], Readings: part.Readings}, nil
}

func byClub(task ClubTask) (string, ClubTask) { return task.Folder, task }

// layOut lays out the days at risk of a club and gives each to the sky that holds for it.
type layOut struct{ From, Trigger string }

// ProcessElement gives lots by sky, and an empty one of the club itself, so that the club
// gets a table also where it has no days.
func (x *layOut) ProcessElement(ctx context.Context, _ string, tasks func(*ClubTask) bool, lengths func(*Length) bool, emit func(sky string, lot Lot)) error {
	d, err := ruleOf(x.Trigger)
	if err != nil {
		return err
	}
	var task ClubTask
	tasks(&task)
	m, err := task.open(ctx, x.From)
	if err != nil {
		return err
	}
	t, err := attemptsOf(reader(ctx, x.From), m)
	if err != nil {
		return err
	}
	r, err := records(m, &t)
	if err != nil {
		return err
	}
	var skies []Length
	for l := (Length{}); lengths(&l); {
		skies = append(skies, l)
	}
	slices.SortFunc(skies, func(a, b Length) int {
		return exposure.Longer(a.sky(), int(a.Readings), b.sky(), int(b.Readings))
	})
	bySky := map[string][]Row{keyOf(m.Club): nil}
	_, rows := lots(r)
	for _, row := range slices.Concat(rows...) {
		key := keyOf(m.Club)
		if i := exposure.SkyFor(len(skies), func(i int) exposure.Sky { return skies[i].sky() }, row.Keeper, row.System, m.Home[row.Keeper], d.AtPlace); i >= 0 {
			key = keyOf(m.Club, skies[i].Keeper, skies[i].System, skies[i].Place)
		}
		bySky[key] = append(bySky[key], row)
	}
	for key, rows := range bySky {
		emit(key, Lot{Club: m.Club, Rows: rows})
	}
	return nil
}

func (l Length) sky() exposure.Sky {
	return exposure.Sky{Keeper: l.Keeper, System: l.System, Place: l.Place}
}

// fillLots tells the changes of the days of one sky, and counts them.
type fillLots struct{ Trigger string }

// ProcessElement gives the days by club, and how many there are of each pattern.
func (x *fillLots) ProcessElement(_ string, parts func(*exposure.Part) bool, lots func(*Lot) bool, emit func(club string, lot Lot), counted func(pattern string, days int64)) error {
	d, err := ruleOf(x.Trigger)
	if err != nil {
		return err
	}
	var part exposure.Part
	parts(&part)
	for lot := (Lot{}); lots(&lot); lot = (Lot{}) {
		fill(lot.Rows, part, d)
		emit(lot.Club, lot)
		for p, n := range count(lot.Club, lot.Rows) {
			counted(keyOf(p.Club, p.Species, p.Keeper, p.Trigger, p.Spawned), n)
		}
	}
	return nil
}

// keepDays writes the days of a club.
type keepDays struct{ To, Trigger string }

// ProcessElement writes one table.
func (x *keepDays) ProcessElement(ctx context.Context, club string, lots func(*Lot) bool) error {
	var rows []Row
	for lot := (Lot{}); lots(&lot); lot = (Lot{}) {
		rows = append(rows, lot.Rows...)
	}
	return writeDays(ctx, x.To, x.Trigger, club, rows)
}

func sum(a, b int64) int64 { return a + b }

func asCounted(pattern string, days int64) Counted { return Counted{pattern, days} }

// keepCounts writes the counts of the federation.
type keepCounts struct{ To, Trigger string }

// ProcessElement writes the table.
func (x *keepCounts) ProcessElement(ctx context.Context, _ int, _ func(*string) bool, counted func(*Counted) bool) error {
	n := map[Pattern]int64{}
	for c := (Counted{}); counted(&c); {
		t, err := textsOf(c.Pattern)
		if err != nil {
			return err
		}
		n[Pattern{t[0], t[1], t[2], t[3], t[4]}] = c.Days
	}
	return writeCounts(ctx, x.To, x.Trigger, n)
}
