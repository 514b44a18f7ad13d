package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"gravid/ingest/club"
	"gravid/ingest/club/federation"
)

// madeUp is how a made-up federation is laid out.
const (
	madeUpYears    = 3
	loggersPerClub = 8
	everySeconds   = 15 * 60
	longestLog     = madeUpYears * 365 * 24 * 3600 / everySeconds
)

// makeUp writes a federation of made-up clubs with about as many readings as asked for,
// and at least 1,000, from a seed: some clubs with short logs, or many with logs of three
// years. Of eight loggers of a club six take a reading each quarter of an hour, one has
// gaps and seconds with two readings, one is a keeper who reads once a day. Nothing in it
// is meant to look like weather or fish beyond that.
func makeUp(dir string, readings int, seed uint64) error {
	readings = max(readings, 1000)
	length := min(longestLog, readings/loggersPerClub/4)
	clubs := max(1, int(math.Round(float64(readings)/float64(length)/(loggersPerClub-1))))
	for i := range clubs {
		if err := makeUpClub(dir, i, length, rand.New(rand.NewPCG(seed, uint64(i)))); err != nil {
			return err
		}
	}
	return nil
}

var madeUpStart = time.Date(2021, 12, 29, 22, 0, 0, 0, time.UTC)

func makeUpClub(dir string, number, length int, dice *rand.Rand) (err error) {
	zone := []string{"Europe/Vienna", "America/Sao_Paulo", "UTC", "Asia/Kathmandu"}[number%4]
	keeper := func(i int) string { return fmt.Sprintf("k%02d", i) }
	home := map[string]string{keeper(8): "p3", keeper(9): "p-without-readings"} // and no place known of the tenth
	w, err := federation.NewWriter(dir, federation.Manifest{Club: fmt.Sprintf("made-up-%03d", number), TimeZone: zone, Home: home})
	if err != nil {
		return err
	}
	defer func() {
		if e := w.Close(); err == nil {
			err = e
		}
	}()
	days := max(2, length*everySeconds/86400)
	var t club.Tables
	at := func(day, hour float64) club.When {
		return club.Some(madeUpStart.Add(time.Duration((day*24 + hour) * float64(time.Hour))).Truncate(time.Second))
	}
	for i := range 11 {
		for n := range max(2, days/20) {
			began := dice.Float64() * float64(days)
			a := club.Attempt{
				ID: fmt.Sprintf("a%02d-%d", i, n), Keeper: keeper(i), System: fmt.Sprintf("t%d", n%3),
				Species: []string{"Danio rerio", "Corydoras paleatus"}[dice.IntN(2)], Began: at(began, 0), Spawned: club.Some(dice.IntN(2) == 0),
			}
			if ends := at(began+dice.Float64()*20, 0); a.Spawned.V {
				a.SpawnedAt = ends
			} else {
				a.Ended = ends
			}
			t.Attempts = append(t.Attempts, a)
		}
	}
	if err := w.Write(&t); err != nil {
		return err
	}
	for i := range loggersPerClub {
		if err := makeUpLog(w, keeper(i), fmt.Sprintf("p%d", i/2), i, length, dice); err != nil {
			return err
		}
	}
	_, err = w.Commit()
	return err
}

func makeUpLog(w *federation.Writer, keeper, place string, logger, length int, dice *rand.Rand) error {
	t := club.Tables{Readings: make([]club.Reading, 0, club.BatchRows)}
	level, step := 1013.0, time.Duration(everySeconds)*time.Second
	for n, at := 0, madeUpStart; n < length; n++ {
		level += 0.02*(1013-level) + dice.NormFloat64()*0.35
		at = at.Add(step)
		switch {
		case logger == 6 && dice.IntN(100) == 0:
			at = at.Add(time.Duration(dice.IntN(72)) * time.Hour)
			n += 10
		case logger == 6 && dice.IntN(50) == 0:
			at = at.Add(-step) // twice in one second
		case logger == 7 && at.Hour() != 8, logger == 7 && at.Minute() != 0:
			continue
		}
		t.Readings = append(t.Readings, club.Reading{Keeper: keeper, Place: place, At: club.Some(at), Quantity: "air_pressure_hpa", Value: club.Some(math.Round(level*100) / 100)})
		if len(t.Readings) == cap(t.Readings) {
			if err := w.Write(&t); err != nil {
				return err
			}
			t.Readings = t.Readings[:0]
		}
	}
	return w.Write(&t)
}
