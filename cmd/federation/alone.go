package main

import (
	"context"
	"maps"

	"gravid/analyze/catalogue"
	"gravid/ingest/club"
	"gravid/ingest/club/federation"
)

// alone runs the step on this machine, club by club, as gravid itself does when it is
// asked: all readings of the quantity in memory, in order of time.
func alone(ctx context.Context, from, to, trigger string) error {
	d, err := ruleOf(trigger)
	if err != nil {
		return err
	}
	_, manifests, err := clubsIn(ctx, from)
	if err != nil {
		return err
	}
	counts := map[Pattern]int64{}
	for _, m := range manifests {
		rows, err := aloneClub(reader(ctx, from), m, d)
		if err != nil {
			return err
		}
		maps.Copy(counts, count(m.Club, rows)) // patterns hold the club
		if err := writeDays(ctx, to, trigger, m.Club, rows); err != nil {
			return err
		}
	}
	return writeCounts(ctx, to, trigger, counts)
}

func aloneClub(read federation.ReadFile, m federation.Manifest, d *catalogue.Daily) ([]Row, error) {
	t, err := attemptsOf(read, m)
	if err != nil {
		return nil, err
	}
	for _, f := range m.Of(club.TableReadings) {
		err := m.Read(read, f, func(_ int64, part *club.Tables) error {
			for _, r := range part.Readings {
				if r.Quantity == d.Quantity {
					t.Readings = append(t.Readings, r)
				}
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	r, err := records(m, &t)
	if err != nil {
		return nil, err
	}
	t.Readings = nil // the records have them in a form of their own
	frames, rows := lots(r)
	var all []Row
	for i, f := range frames {
		question := catalogue.Trigger{Daily: d}
		changes, triggers := r.Amounts(f, question), r.Values(f, question, 0)
		for k := range rows[i] {
			rows[i][k].Change, rows[i][k].Trigger = changes[k], triggers[k]
		}
		all = append(all, rows[i]...)
	}
	return all, nil
}

// attemptsOf reads the attempts of a club, of all years.
func attemptsOf(read federation.ReadFile, m federation.Manifest) (club.Tables, error) {
	var t club.Tables
	for _, f := range m.Of(club.TableAttempts) {
		err := m.Read(read, f, func(_ int64, part *club.Tables) error {
			t.Attempts = append(t.Attempts, part.Attempts...)
			return nil
		})
		if err != nil {
			return t, err
		}
	}
	return t, nil
}
